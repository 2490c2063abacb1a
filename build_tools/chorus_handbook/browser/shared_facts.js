// @ts-check
/**
 * What Python and the browser must both know, written once. `shared_facts.py` reads the table below,
 * which therefore has to be plain JSON. A test fails if something in it is written a second time on
 * either side.
 *
 * - formats: versions of the data files that the site's own scripts read. A version is raised when a
 *   field of that file changes its meaning or is removed.
 * - pitch: A4 (ISO 16:1975), the letters upward from C with their semitones, and plain names for the
 *   twelve semitones, black keys as flats.
 * - reach: MIDI numbers of the lowest and highest note that the player sounds, and how many semitones
 *   they are beyond its lowest and highest tone.
 * - run: beats of the first key's chord if the exercise has no lead-ins; the levels of the clicks of a
 *   count-in, of its click on "one", and of each note of a chord between keys.
 * - behind: the level of the other voices behind one that is louder: 12 dB below it.
 * - click: the frequency in hertz of each kind of click (three heights of spoken beats, the count and
 *   its "one"); the length, attack, final fade and decay (to 1/e) of a click in seconds; its peak.
 * - release: seconds over which a note fades after its end.
 * - onset: how the beginning of a tone is recognised: it is the first sample louder than `audible`
 *   times the peak of the first `within` seconds.
 * - loudness: `target`, the loudness to which singing, chords and single notes are brought, in LUFS
 *   (ITU-R BS.1770); `peak`, the loudest sample allowed; `windows`, the seconds after a tone's attack at
 *   which the windows end whose power is measured (one more window has no end).
 * - rotation: how it follows from the log whether an exercise is known or resting. It is `resting` after
 *   this many days in which it was not sung, and known if it was sung on `often` days of the last
 *   `known_within`. A log needs `enough` days before anything is called new. `window`: the days over
 *   which goals are compared.
 * - stored: the names under which a browser stores the reader's choices, each followed by the address
 *   of the handbook.
 * - ladder: the signs for the state of a voice in a key, and the words for each of them, by the end of
 *   the range that it passes. "touched" is an edge that is not held for a beat; "octave" is a change of
 *   octave. All words are messages (`catalogue.py`), which are translated where they are shown.
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
