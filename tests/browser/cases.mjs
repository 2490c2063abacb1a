// The golden cases that Python's tests read too.
import { readFileSync, readdirSync } from "node:fs";

const FOLDER = new URL("../cases/", import.meta.url);

/** Every file of a topic, by name. */
export function cases(topic) {
  const folder = new URL(`${topic}/`, FOLDER);
  const names = readdirSync(folder).filter((name) => name.endsWith(".json"));
  return names.sort().map((name) => JSON.parse(readFileSync(new URL(name, folder), "utf-8")));
}
