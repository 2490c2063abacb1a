// @ts-check
/**
 * Estimates how loud music will be from its events (notes and clicks), without computing a single sample
 * of sound. The player makes singing, chords and single notes equally loud by it, so that nobody has to
 * change the volume when a voice is heard alone. `sound/loudness.py` has the same rule.
 */

import { FACTS } from "./shared_facts.js";

/** @import { Event } from "./schedule.js" */

/** A tone's MIDI number, and its power (weighted mean square) in each of its windows. @typedef {{midi: number, power: number[]}} Powers */

const { target: TARGET, peak: PEAK, windows: WINDOWS } = FACTS.loudness;
/** The constant of the loudness formula in ITU-R BS.1770, in LUFS. */
const OFFSET = -0.691;
/** The seconds of a block, over which BS.1770 measures; a click counts as one. */
const BLOCK = 0.4;
/** The energy of a click of level 1: a sine that dies away, less what its attack takes. */
const CLICK_ENERGY = FACTS.click.peak ** 2 * (FACTS.click.decay / 4 - FACTS.click.rise / 3);

/**
 * The loudness of these events in LUFS; null if nothing sounds.
 * @param {Event[]} events
 * @param {Map<string, number>} levels of the voices by name; a voice that is not in it has 1
 * @param {Powers[]} tones
 * @returns {number | null}
 */
export function loudness(events, levels, tones) {
  /** @type {Map<string, {event: Event, sounds: [level: number, length: number][]}>} */
  const together = new Map();
  /** @type {[number, number][]} */
  const spans = [];
  for (const event of events) {
    const level = levelOf(event, levels) * meanLevel(event);
    if (level <= 0) continue;
    const what = event.midi === null ? event.spoken ?? "" : event.midi.toFixed(3);
    const length = event.midi === null ? BLOCK : event.length;
    const name = `${event.at.toFixed(3)} ${what}`;
    const group = together.get(name) ?? { event, sounds: [] };
    group.sounds.push([level, length]);
    together.set(name, group);
    spans.push([event.at, event.at + length]);
  }
  let energy = 0;
  for (const { event, sounds } of together.values()) energy += energyOf(event, sounds, tones);
  const seconds = covered(spans);
  return energy && seconds ? OFFSET + 10 * Math.log10(energy / seconds) : null;
}

/**
 * The factor by which these events must be made louder, or softer if it is below 1, to have the loudness
 * `target` of `shared_facts.js`; 1 if nothing sounds. If there are clicks, whose peaks are far above their
 * loudness, the factor is so small that no peak goes beyond the highest one allowed.
 * @param {Event[]} events
 * @param {Map<string, number>} levels
 * @param {Powers[]} tones
 */
export function factorToTarget(events, levels, tones) {
  const found = loudness(events, levels, tones);
  if (found === null) return 1;
  /** By time, the levels of the clicks that begin together, added up. @type {Map<string, number>} */
  const clickLevels = new Map();
  for (const event of events) {
    if (event.midi !== null) continue;
    const name = event.at.toFixed(3);
    clickLevels.set(name, (clickLevels.get(name) ?? 0) + levelOf(event, levels) * event.level);
  }
  const loudest = FACTS.click.peak * Math.max(0, ...clickLevels.values());
  const factor = 10 ** ((TARGET - found) / 20);
  return loudest ? Math.min(factor, PEAK / loudest) : factor;
}

/** The level of the voice of an event; 1 for clicks and chords, which belong to no voice. @param {Event} event @param {Map<string, number>} levels */
function levelOf({ voice }, levels) {
  return voice === null ? 1 : levels.get(voice) ?? 1;
}

/**
 * A steady level with about the same energy as the changing level of an event.
 * @param {Event} event
 */
function meanLevel({ level, swell = [] }) {
  const levels = [level, ...swell.map(([, reached]) => reached)];
  return Math.sqrt(levels.reduce((sum, one) => sum + one ** 2, 0) / levels.length);
}

/**
 * The energy of sounds of one pitch, or of clicks of one kind, that begin together.
 * @param {Event} event one of them
 * @param {[level: number, length: number][]} sounds the level and the seconds of each
 * @param {Powers[]} tones
 */
function energyOf({ midi }, sounds, tones) {
  let level = sounds.reduce((sum, [one]) => sum + one, 0);
  if (midi === null) return level ** 2 * CLICK_ENERGY;
  const tone = tones.reduce((best, one) => (Math.abs(one.midi - midi) < Math.abs(best.midi - midi) ? one : best));
  let [energy, before] = [0, 0];
  for (const [own, length] of [...sounds].sort((one, other) => one[1] - other[1])) {
    const until = toneEnergy(tone, length);
    energy += level ** 2 * (until - before);
    [level, before] = [level - own, until];
  }
  return energy;
}

/**
 * The energy of the first `length` seconds of a tone.
 * @param {Powers} tone
 * @param {number} length
 */
function toneEnergy({ power }, length) {
  const edges = [0, ...WINDOWS, Infinity];
  return power.reduce((sum, one, n) => sum + one * Math.max(0, Math.min(length, edges[n + 1]) - edges[n]), 0);
}

/**
 * How many seconds are covered by these spans together; where they overlap, a second counts once.
 * @param {[number, number][]} spans their beginnings and ends, in seconds
 */
function covered(spans) {
  let [seconds, reached] = [0, -Infinity];
  for (const [start, end] of [...spans].sort((one, other) => one[0] - other[0])) {
    seconds += Math.max(0, end - Math.max(start, reached));
    reached = Math.max(reached, end);
  }
  return seconds;
}
