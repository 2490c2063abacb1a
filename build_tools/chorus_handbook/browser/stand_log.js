// @ts-check
/**
 * The log of the music stand: for each item whether it was sung, the highest key and a remark, as the
 * leader enters it. It is stored in this browser. The leader saves it as a YAML file, or copies its lines
 * into one; the command `handbook sung` then writes it into the warm-up's own file.
 */

import { StoredChoice } from "./stored_choices.js";
import { gettext, keyName } from "./words.js";

const MINUTE_MS = 60_000;

/** The log of one item: its slug; "yes", "cut" or "skipped"; the highest key and a remark, or "". @typedef {{exercise: string, sung: string, top: string, remark: string}} SungItem */

/**
 * The log as YAML text.
 * @param {string} plan the name of the warm-up's file
 * @param {string} chorus
 * @param {SungItem[]} items
 */
export function lines(plan, chorus, items) {
  const head = [`warm_up: ${plan}`, `chorus: ${JSON.stringify(chorus)}`, "items:"];
  const body = items.flatMap(({ exercise, sung, top, remark }) => [
    `  - exercise: ${exercise}`,
    `    sung: ${sung}`,
    ...(top ? [`    top: ${top}`] : []),
    ...(remark.trim() ? [`    remark: ${JSON.stringify(remark.trim())}`] : []),
  ]);
  return `${[...head, ...body].join("\n")}\n`;
}

/**
 * What is stored. `state`: "noted" if the leader has been at the log since it was last saved, "saved" if
 * nothing has changed since then, else "".
 * @typedef {{items: SungItem[], state: "" | "noted" | "saved"}} Stored
 */

/**
 * The log that an earlier visit stored; null if it does not have the expected fields.
 * @param {Record<string, unknown>} fields
 * @returns {Stored | null}
 */
export function readStored({ items, state }) {
  if (!Array.isArray(items)) return null;
  const names = /** @type {const} */ (["exercise", "sung", "top", "remark"]);
  const good = items.every((item) => item && names.every((name) => typeof item[name] === "string"));
  return good ? { items, state: state === "noted" || state === "saved" ? state : "" } : null;
}

export class StandLog {
  /**
   * @param {HTMLDialogElement} dialog the stand
   * @param {(message: string) => void} tell shows a message on the stand
   */
  constructor(dialog, tell) {
    const { instrument = "", plan = "", chorus = "" } = dialog.dataset;
    this.dialog = dialog;
    this.tell = tell;
    this.plan = plan;
    this.chorus = chorus;
    /** The name of the file that is saved. */
    this.file = `${plan}.sung.yml`;
    const handbook = new URL("../../", new URL(instrument, location.href)).pathname;
    this.store = new StoredChoice(`chorus-handbook sung ${handbook} ${plan}`, readStored);
    this.recall();
  }

  get rows() {
    return [...this.dialog.querySelectorAll(".hb-stand-log li")];
  }

  /** Whether there are notes that are not saved yet (`Stored`). */
  get state() {
    return this.store.read()?.state ?? "";
  }

  /** Stores the log, and shows it as lines of YAML. @param {boolean} [noted] whether the leader is at the log @returns {string} those lines; "" if there is no log */
  record(noted = false) {
    const items = this.rows.map((row) => {
      const [sung, top, remark] = ["sung", "top", "remark"].map((name) => {
        const field = row.querySelector(`[name=${name}]`);
        return field instanceof HTMLSelectElement || field instanceof HTMLInputElement ? field.value : "";
      });
      return { exercise: row.getAttribute("data-exercise") ?? "", sung, top: sung === "yes" ? top : "", remark };
    });
    if (!items.length) return "";
    const last = this.store.read();
    const same = JSON.stringify(last?.items) === JSON.stringify(items);
    const kept = last?.state === "saved" && !same ? "noted" : (last?.state ?? "");
    this.store.save({ items, state: noted && kept === "" ? "noted" : kept });
    const text = lines(this.plan, this.chorus, items);
    const shown = this.dialog.querySelector(".hb-stand-lines");
    if (shown instanceof HTMLTextAreaElement) shown.value = text;
    if (!this.store.lasting && !this.rows[0].closest("[hidden]")) {
      this.tell(gettext("This browser stores nothing: save the file, or copy the lines, before you close the page."));
    }
    return text;
  }

  /** Notes what became of an item. @param {Element} row @param {string} became "yes", "cut" or "skipped" */
  note(row, became) {
    for (const button of row.querySelectorAll("[data-became]")) button.setAttribute("aria-pressed", String(button.getAttribute("data-became") === became));
    row.querySelector("[name=sung]")?.setAttribute("value", became);
    row.querySelector("[name=top]")?.toggleAttribute("hidden", became !== "yes");
  }

  /** Notes what became of the item whose button was tapped. @param {HTMLButtonElement} button */
  tap(button) {
    const row = button.closest("li");
    if (row) this.note(row, button.dataset.became ?? "");
    this.record(true);
  }

  /** Notes that the log has been saved or copied. */
  saved() {
    const stored = this.store.read();
    if (stored) this.store.save({ ...stored, state: "saved" });
  }

  /** Fills the log in with what was stored on an earlier visit. */
  recall() {
    for (const [number, item] of (this.store.read()?.items ?? []).entries()) {
      const row = this.rows[number];
      if (row?.getAttribute("data-exercise") !== item.exercise) continue;
      this.note(row, item.sung);
      const [top, remark] = ["top", "remark"].map((name) => row.querySelector(`[name=${name}]`));
      if (remark instanceof HTMLInputElement) remark.value = item.remark;
      if (!(top instanceof HTMLSelectElement)) continue;
      top.value = item.top;
      if (top.value !== item.top) top.add(new Option(keyName(item.top), item.top, false, true)); // a key of a changed evening
    }
  }

  /** Saves the log as a file. */
  save() {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([this.record()], { type: "application/yaml" }));
    link.download = this.file;
    link.click();
    this.saved();
    this.tell(gettext("Saved. Now run: handbook sung {file}", { file: this.file }));
    setTimeout(() => URL.revokeObjectURL(link.href), MINUTE_MS); // by then the browser has saved the file
  }

  /** Copies the log, or selects it if the browser does not let it be copied. */
  async copy() {
    const text = this.record();
    try {
      await navigator.clipboard.writeText(text);
      this.saved();
      this.tell(gettext("Copied. Paste into {file}, then run: handbook sung {file}", { file: this.file }));
    } catch {
      const shown = this.dialog.querySelector(".hb-stand-lines");
      if (shown instanceof HTMLTextAreaElement) shown.select();
      this.tell(gettext("Copy the selected lines into {file}, then run: handbook sung {file}", { file: this.file }));
    }
  }
}
