// @ts-check
/**
 * Decides how loud each voice is when an exercise is played. A voice has a level, set by its slider, and a
 * role: in front, alone or silent.
 *
 * The reader sets each voice in its row under "Voices and keys", or all at once by a quick choice such as
 * "my part louder".
 */

import { FACTS } from "./shared_facts.js";
import { gettext } from "./words.js";

/** What a voice is among the others; "as set": only its slider counts. @typedef {"as set" | "in front" | "alone" | "silent"} Role */
/** What is heard: all parts, the singer's part louder, that part only, only the others, or that part with gaps to answer in (`echo.js`). @typedef {"all" | "louder" | "only" | "others" | "echo"} QuickChoice */

/** The role that each quick choice gives the singer's part. @type {Record<QuickChoice, Role>} */
const ROLE_OF_PART = { all: "as set", louder: "in front", only: "alone", others: "silent", echo: "alone" };

/** How loud each voice of an exercise is. */
export class Mix {
  /** @param {string[]} names */
  constructor(names) {
    /** @type {Map<string, {level: number, role: Role}>} */
    this.voices = new Map(names.map((name) => [name, { level: 1, role: "as set" }]));
  }

  /**
   * Gives a voice a role. Only one voice at a time can be in front or alone, so another one that is loses
   * that role.
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
   * Sets the roles of all voices by a quick choice.
   * @param {string} part the name of the singer's part
   * @param {QuickChoice} choice
   */
  choose(part, choice) {
    for (const [name, voice] of this.voices) voice.role = name === part ? ROLE_OF_PART[choice] : "as set";
  }

  /**
   * The quick choice that has the same effect as the roles, and its part ("" if all voices are
   * treated alike); null if there is no such choice.
   * @returns {{choice: QuickChoice, part: string} | null}
   */
  chosen() {
    const special = [...this.voices].filter(([, { role }]) => role !== "as set");
    if (!special.length) return { choice: "all", part: "" };
    const alone = special.find(([, { role }]) => role === "alone"); // then it makes no difference which others are silent
    if (special.length > 1 && !alone) return null;
    const [part, { role }] = alone ?? special[0];
    const choices = /** @type {QuickChoice[]} */ (Object.keys(ROLE_OF_PART));
    return { choice: choices.find((one) => ROLE_OF_PART[one] === role) ?? "all", part };
  }

  /**
   * Sets the level of a voice, as its slider does.
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
   * The level of every voice by its role alone, without its slider. The overall loudness is computed
   * from these, so that moving a slider can be heard.
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

/**
 * Makes the row of controls of every voice work.
 * @param {HTMLElement} box the exercise, with the rows
 * @param {Mix} mix
 * @param {{changed: () => void, startingNote: (voice: string) => void}} then what to do when a level or role
 *   has changed, and when the starting note of a voice is asked for
 * @returns {() => void} a function that shows the roles as they are now
 */
export function connectVoiceRows(box, mix, then) {
  const rows = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-voice]")]);

  function show() {
    for (const row of rows) {
      const role = mix.voices.get(row.dataset.voice ?? "")?.role;
      for (const button of /** @type {NodeListOf<HTMLElement>} */ (row.querySelectorAll("[data-role]"))) {
        button.setAttribute("aria-pressed", String(button.dataset.role === role));
      }
    }
  }

  for (const row of rows) {
    const voice = row.dataset.voice ?? "";
    row.addEventListener("input", (event) => {
      if (!(event.target instanceof HTMLInputElement)) return;
      event.target.setAttribute("aria-valuetext", gettext("{n} percent", { n: event.target.value }));
      mix.set(voice, Number(event.target.value) / 100);
      then.changed();
    });
    row.addEventListener("click", (event) => {
      const button = event.target instanceof Element ? event.target.closest("button") : null;
      if (!button) return;
      if (button.classList.contains("hb-voice-pitch")) return then.startingNote(voice);
      const role = /** @type {Role} */ (button.dataset.role);
      mix.give(voice, mix.voices.get(voice)?.role === role ? "as set" : role);
      show();
      then.changed();
    });
  }
  show();
  return show;
}
