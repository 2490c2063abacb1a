// @ts-check
/** How loud each voice is: its level, and whether one is in front, alone, or silent. */

import { FACTS } from "./shared_facts.js";

/** @typedef {"as set" | "in front" | "alone" | "silent"} Role */

export class Mix {
  /** @param {string[]} names */
  constructor(names) {
    /** @type {Map<string, {level: number, role: Role}>} */
    this.voices = new Map(names.map((name) => [name, { level: 1, role: "as set" }]));
  }

  /**
   * Only one voice can be in front or alone; giving one a role takes it from the other.
   * @param {string} name
   * @param {Role} role
   */
  give(name, role) {
    for (const [other, voice] of this.voices) {
      const single = voice.role === "in front" || voice.role === "alone";
      const taken = role === "in front" || role === "alone";
      if (other === name) voice.role = role;
      else if (taken && single) voice.role = "as set";
    }
  }

  /**
   * @param {string} name
   * @param {number} level 0 to 1
   */
  set(name, level) {
    const voice = this.voices.get(name);
    if (voice) voice.level = Math.min(Math.max(level, 0), 1);
  }

  /** The level of every voice as it is heard. @returns {Map<string, number>} */
  levels() {
    return new Map([...this.shares()].map(([name, share]) => [name, share * (this.voices.get(name)?.level ?? 1)]));
  }

  /**
   * The same as the roles alone have it: what a voice's own control does is meant to be heard, while
   * the loudness of the whole follows these.
   * @returns {Map<string, number>}
   */
  shares() {
    const roles = [...this.voices.values()].map(({ role }) => role);
    const [alone, front] = [roles.includes("alone"), roles.includes("in front")];
    return new Map(
      [...this.voices].map(([name, { role }]) => {
        if (role === "silent" || (alone && role !== "alone")) return [name, 0];
        return [name, front && role !== "in front" ? FACTS.behind : 1];
      }),
    );
  }
}
