// @ts-check
/**
 * What Python and the browser must both know, written once. `shared_facts.py` reads the table below,
 * which therefore has to be plain JSON. Nothing here may be written a second time on either side:
 * a test looks for it.
 *
 * - formats: versions of the files that the site carries for its own scripts. One rises when a field
 *   of that file changes its meaning or goes.
 * - pitch: A4 (ISO 16:1975), the letters upward from C with their semitones, and plain names for the
 *   twelve semitones, black keys as flats.
 * - reach: MIDI numbers of the lowest and highest note that the player sounds, and how many semitones
 *   beyond its outermost tones it goes.
 * - run: beats of the first key's chord where the exercise has no lead-ins; levels of the clicks of a
 *   count, of the click on "one", and of each note of a chord between keys.
 * - behind: the level of the other voices behind one that is louder: 12 dB below it.
 * - click: hertz by what is clicked (heights of spoken beats, the count and its "one"), then the
 *   knock's length, rise, fall and time to die to 1/e in seconds, and its peak.
 * - release: seconds over which a note fades when it has ended.
 * - onset: a tone's first crossing of this part of the peak that it has within so many seconds. Where
 *   it lies in the tone is in instrument.json; where a decoder puts it, the browser measures.
 * - loudness: the loudness to which singing, chords and single notes are brought, in LUFS (ITU-R
 *   BS.1770); the loudest sample that may come of it; and the seconds after its attack at which the
 *   windows end in which a tone's power is told, the last one open.
 * - rotation: by when and how often an exercise was sung, what it is for the next warm-up. In days:
 *   `resting` after so long without it; `known` if sung on `often` days of the last `known_within`.
 *   A log needs `enough` days to tell what is new. `window`: the days over which goals are compared.
 * - stored: the names under which a browser stores what a reader chooses, each followed by the
 *   address of the handbook.
 * - ladder: signs of how a voice fares in a key, and the words for them by the end of its range that
 *   it comes to: comfortable, at the edge of it for a beat or more or only touched, out, and for a
 *   change of octave. All words are messages (`catalogue.py`), to be looked up where they are shown.
 */
export const FACTS = {
  "formats": { "notes": 1, "instrument": 1, "index": 2 },
  "pitch": {
    "a4_hertz": 440,
    "a4_midi": 69,
    "letters": "CDEFGAB",
    "naturals": [0, 2, 4, 5, 7, 9, 11],
    "flat_names": ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]
  },
  "reach": { "lowest": 33, "highest": 90, "beyond": 3 },
  "run": { "opening_chord_beats": 4, "count": 0.5, "one": 0.9, "chord": 0.6 },
  "behind": 0.25,
  "click": {
    "hertz": { "low": 620, "middle": 880, "high": 1240, "count": 1050, "one": 1400 },
    "seconds": 0.06,
    "rise": 0.002,
    "fall": 0.01,
    "decay": 0.012,
    "peak": 0.6
  },
  "release": 0.05,
  "onset": { "within": 0.5, "audible": 0.1 },
  "loudness": { "target": -20, "peak": 0.9, "windows": [0.25, 0.5, 1, 2, 3] },
  "rotation": { "enough": 3, "resting": 56, "often": 3, "known_within": 84, "window": 28 },
  "stored": { "own_range": "chorus-handbook own-range", "playback": "chorus-handbook playback" },
  "ladder": {
    "signs": { "comfortable": "●", "edge": "○", "out": "×", "octave": "↕" },
    "words": {
      "comfortable": { "neither": "well in range" },
      "edge": { "top": "near the top", "bottom": "near the bottom", "both": "near the top and the bottom" },
      "touched": {
        "top": "near the top, touched",
        "bottom": "near the bottom, touched",
        "both": "near the top and the bottom, touched"
      },
      "out": { "top": "too high", "bottom": "too low", "both": "too high and too low" },
      "octave": { "-1": "an octave lower from here", "1": "an octave higher from here" }
    }
  }
};
