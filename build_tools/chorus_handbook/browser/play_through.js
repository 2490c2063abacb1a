// @ts-check
/**
 * Lets a routine play by itself on the music stand. For each exercise there is first a pause, in which its
 * instruction is read or said; then its keys are played or, if it has no notes, its steps are marked, each
 * for the time that it states. Nobody has to touch anything, but the reader can pause, go back and skip.
 */

import { Countdown, figures } from "./countdown.js";
import { gettext } from "./words.js";

/** @import { Stand } from "./stand.js" */

/** How often the time left is updated, in milliseconds. */
const LOOK_MS = 200;

/**
 * What happens during one exercise (`warmups/play_through.py`). `timed`: the silent parts at its
 * beginning, each with the place of the step to mark, or null, and its seconds. `keys`: the tonics of
 * the keys that are played after that. `step`: the place of the step to mark meanwhile, or null.
 * @typedef {{timed: [step: number | null, seconds: number][], keys: string[], step: number | null}} Passage
 */
/**
 * One part of an exercise: its pause or one of its steps, which lasts `seconds`; or its keys, without
 * `seconds`. `place` is the place of the exercise in the routine, `step` that of the step to mark.
 * @typedef {{place: number, step: number | null, seconds?: number}} Part
 */

/**
 * All parts of a routine, in the order in which they are played or counted down.
 * @param {Passage[]} passages
 * @returns {Part[]}
 */
export function partsOf(passages) {
  return passages.flatMap(({ timed, keys, step }, place) => [
    ...timed.map(([marked, seconds]) => ({ place, step: marked, seconds })),
    ...(keys.length ? [{ place, step }] : []),
  ]);
}

/**
 * Where "Back" leads: to the first part of this exercise, or from there to the first part of the exercise
 * before.
 * @param {Part[]} parts
 * @param {number} at the place of the current part; once all are over, the number of parts
 */
export function before(parts, at) {
  const place = parts[Math.max(0, at - 1)].place;
  return parts.findIndex((part) => part.place === place);
}

export class PlayThrough {
  /** @param {Stand} stand */
  constructor(stand) {
    this.stand = stand;
    this.passages = stand.items.flatMap(({ dataset }) => (dataset.passage ? [JSON.parse(dataset.passage)] : []));
    this.parts = partsOf(this.passages);
    this.at = 0;
    this.paused = false;
    /** @type {Countdown | null} */
    this.countdown = null;
    /** Counts the changes of part. When the sound of a part ends, it tells whether that part is still the current one. */
    this.turn = 0;
    this.button = /** @type {HTMLButtonElement} */ (stand.dialog.querySelector(".hb-through-pause"));
    this.now = /** @type {HTMLElement} */ (stand.dialog.querySelector(".hb-through-now"));
    this.timer = setInterval(() => this.look(), LOOK_MS);
    stand.sound.wake();
    this.go(0);
    this.button.focus();
  }

  /** Begins a part. @param {number} at its place; the number of parts once all are over */
  go(at) {
    this.at = at;
    this.turn += 1;
    this.paused = false;
    const part = this.parts[at];
    this.stand.show(part ? part.place : this.stand.items.length - 1);
    this.stand.mark(part?.step ?? -1);
    this.countdown = part?.seconds ? new Countdown(part.seconds) : null;
    this.countdown?.start(Date.now());
    this.stand.screen.keep(Boolean(part));
    if (part && !this.countdown) void this.play(part);
    this.tell();
  }

  /** Plays the keys of an exercise, and then goes on. @param {Part} part */
  async play({ place }) {
    const { turn } = this;
    const { keys } = this.passages[place];
    const whole = await this.stand.hear(keys);
    if (turn !== this.turn) return;
    if (whole) this.go(this.at + 1);
    else this.pause(); // something else began to sound, or there is no sound; the stand says which
  }

  /** Pauses the current part. */
  pause() {
    this.paused = true;
    this.countdown?.pause(Date.now());
    this.stand.sound.pause();
    this.tell();
  }

  /** Goes on with the current part. */
  resume() {
    this.paused = false;
    if (this.countdown) this.countdown.start(Date.now());
    else if (!this.stand.sound.resume()) void this.play(this.parts[this.at]);
    this.tell();
  }

  /** Pauses, or goes on; once all is over, begins again. */
  toggle() {
    if (!this.parts[this.at]) this.go(0);
    else if (this.paused) this.resume();
    else this.pause();
  }

  /** Skips to the next part. */
  forward() {
    if (this.parts[this.at]) this.go(this.at + 1);
  }

  /** Goes back; see `before`. */
  back() {
    this.go(before(this.parts, this.at));
  }

  /** Called every `LOOK_MS`: goes on when the time of a part is over. */
  look() {
    if (this.paused || !this.parts[this.at]) return;
    if (this.countdown?.remaining(Date.now()) === 0) this.go(this.at + 1);
    else this.tell();
  }

  /** Shows what is going on, and what the button does. */
  tell() {
    const part = this.parts[this.at];
    const time = figures(this.countdown?.seconds(Date.now()) ?? 0);
    if (!part) this.now.textContent = "";
    else if (!this.countdown) this.now.textContent = this.paused ? gettext("Paused") : this.joinIn();
    else if (part !== this.parts.find(({ place }) => place === part.place)) this.now.textContent = time;
    else this.now.textContent = gettext("Begins in {time}", { time });
    this.button.textContent = !part ? gettext("Again") : this.paused ? gettext("Go on") : gettext("Pause");
  }

  /** What is shown while keys are played: "Join in", with the key, whose own line may be out of view. */
  joinIn() {
    const key = this.stand.item.querySelector(".hb-stand-name")?.textContent;
    return key ? gettext("Join in: {key}", { key }) : gettext("Join in");
  }

  /** Ends the playing. */
  end() {
    this.turn += 1;
    clearInterval(this.timer);
  }
}
