// @ts-check
/** "Hold this chord": the chord at the place where the run stands, and the ones around it. */

import { inCents, namesOf } from "./cents_table.js";
import { chordAt, HeldChord } from "./held_chord.js";
import { pitch } from "./schedule.js";
import { gettext, joined } from "./words.js";

/** @import { Follower } from "./follow.js" */
/** @import { Mix } from "./mix.js" */
/** @import { Player } from "./player.js" */

export class ChordHolder {
  /**
   * @param {HTMLElement} box
   * @param {Player} player
   * @param {Follower} follower
   * @param {Mix} mix
   */
  constructor(box, player, follower, mix) {
    this.box = box;
    this.player = player;
    this.follower = follower;
    this.mix = mix;
    this.chord = new HeldChord(player.context, player.master);
    this.held = false;
    /** The tick of the pass that is held. */
    this.tick = 0;
    const { notes } = player;
    const standing = (notes.chords ?? []).map(([at]) => at);
    const onsets = notes.voices.flatMap(({ notes: all }) => all.filter((n) => n.semitones.length).map(({ at }) => at));
    this.places = [...new Set(standing.length ? standing : onsets)].sort((one, other) => one - other);
    for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (box.querySelectorAll("[data-chord]"))) {
      button.addEventListener("click", () => this.step(Number(button.dataset.chord)));
    }
  }

  begin() {
    const { stretch, offset } = this.player.placeAt(this.player.tickAt);
    this.tick = stretch?.kind === "pass" ? offset : 0;
    this.held = true;
    this.renew();
  }

  /** @param {number} by */
  step(by) {
    const later = this.places.find((at) => at > this.tick);
    const earlier = this.places.filter((at) => at < this.tick).at(-1);
    this.tick = (by > 0 ? later : earlier) ?? this.tick;
    this.renew();
  }

  /** Sounds what is held as the key, the tuning and the voices are now. */
  renew() {
    if (!this.held) return;
    const { notes, options, state, context } = this.player;
    const key = state === "stopped" ? options.key : this.player.keyNow(context.currentTime);
    const levels = this.mix.levels();
    const chord = chordAt(notes, this.tick, levels);
    /** @type {Map<number, string>} */
    const pitches = new Map();
    for (const { note } of chord) {
      const names = namesOf(notes, key, note);
      note.semitones.forEach((semitones, place) => {
        const cents = options.just ? note.cents[place] : 0;
        const midi = pitch(notes, options, key, semitones, note.cents[place]);
        pitches.set(midi, `${names[place]} ${inCents(cents)}`);
      });
    }
    const midis = [...pitches.keys()].sort((one, other) => one - other);
    this.chord.sound(midis);
    this.follower.show(
      chord.map(({ voice, note }) => ({ at: 0, length: 1, kind: "note", key, voice, id: note.id, midi: null, level: 1 })),
      levels,
    );
    const held = joined(midis.map((midi) => pitches.get(midi) ?? ""));
    this.tell(
      held
        ? gettext("Holding, with cents from equal temperament: {notes}.", { notes: held })
        : gettext("No voice that you can hear sings here."),
    );
  }

  /** Lets go. */
  end() {
    if (!this.held) return;
    this.held = false;
    this.chord.end();
    this.follower.clear();
    this.tell("");
  }

  /** @param {string} word */
  tell(word) {
    const button = this.box.querySelector(".hb-hold");
    if (button) button.textContent = this.held ? gettext("Let go") : gettext("Hold this chord");
    for (const step of this.box.querySelectorAll("[data-chord]")) step.toggleAttribute("hidden", !this.held);
    const says = this.box.querySelector(".hb-held-says");
    if (says) says.textContent = word;
  }
}
