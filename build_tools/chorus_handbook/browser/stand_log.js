// @ts-check
/**
 * The log of the music stand: for each item whether it was sung, the highest key and a remark, as the
 * leader enters it. It is stored in this browser. The leader saves it as a YAML file, or copies its lines
 * into one; the command `handbook sung` then writes it into the warm-up's own file.
 */

import { StoredChoice } from "./stored_choices.js";
import { gettext } from "./words.js";

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
 * The log that an earlier visit stored; null if it does not have the expected fields.
 * @param {Record<string, unknown>} fields
 * @returns {{items: SungItem[]} | null}
 */
export function readStored({ items }) {
  if (!Array.isArray(items)) return null;
  const names = /** @type {const} */ (["exercise", "sung", "top", "remark"]);
  const good = items.every((item) => item && names.every((name) => typeof item[name] === "string"));
  return good ? { items } : null;
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

  /** Stores the log, and shows it as lines of YAML. Returns those lines; "" if there is no log. */
  record() {
    const items = this.rows.map((row) => {
      const [sung, top, remark] = ["sung", "top", "remark"].map((name) => {
        const field = row.querySelector(`[name=${name}]`);
        return field instanceof HTMLSelectElement || field instanceof HTMLInputElement ? field.value : "";
      });
      return { exercise: row.getAttribute("data-exercise") ?? "", sung, top: sung === "yes" ? top : "", remark };
    });
    if (!items.length) return "";
    this.store.save({ items });
    const text = lines(this.plan, this.chorus, items);
    const shown = this.dialog.querySelector(".hb-stand-lines");
    if (shown instanceof HTMLTextAreaElement) shown.value = text;
    if (!this.store.lasting && !this.rows[0].closest("[hidden]")) {
      this.tell(gettext("This browser stores nothing: save the file, or copy the lines, before you close the page."));
    }
    return text;
  }

  /** Fills the log in with what was stored on an earlier visit. */
  recall() {
    for (const [number, item] of (this.store.read()?.items ?? []).entries()) {
      const row = this.rows[number];
      if (row?.getAttribute("data-exercise") !== item.exercise) continue;
      for (const name of /** @type {const} */ (["sung", "top", "remark"])) {
        const field = row.querySelector(`[name=${name}]`);
        if (field instanceof HTMLSelectElement || field instanceof HTMLInputElement) field.value = item[name];
      }
    }
  }

  /** Saves the log as a file. */
  save() {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([this.record()], { type: "application/yaml" }));
    link.download = this.file;
    link.click();
    this.tell(gettext("Saved. Now run: handbook sung {file}", { file: this.file }));
    setTimeout(() => URL.revokeObjectURL(link.href), MINUTE_MS); // by then the browser has saved the file
  }

  /** Copies the log, or selects it if the browser does not let it be copied. */
  async copy() {
    const text = this.record();
    try {
      await navigator.clipboard.writeText(text);
      this.tell(gettext("Copied. Paste into {file}, then run: handbook sung {file}", { file: this.file }));
    } catch {
      const shown = this.dialog.querySelector(".hb-stand-lines");
      if (shown instanceof HTMLTextAreaElement) shown.select();
      this.tell(gettext("Copy the selected lines into {file}, then run: handbook sung {file}", { file: this.file }));
    }
  }
}
