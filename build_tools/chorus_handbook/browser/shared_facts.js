// @ts-check
/**
 * The numbers and words that Python and the browser must both know, written once. `shared_facts.py` reads
 * the table below, which therefore has to be plain JSON. A test fails if something in it is written a
 * second time on either side.
 *
 * - formats: versions of the data files that the site's own scripts read. A version is raised when a
 *   field of that file changes its meaning or is removed.
 * - pitch: A4 (ISO 16:1975), the letters upward from C with their semitones, and plain names for the
 *   twelve semitones, black keys as flats; how a letter with sharps or flats is read aloud (messages).
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
 * - loudness: `target`, the loudness that singing, chords and single notes are given, in LUFS
 *   (ITU-R BS.1770); `peak`, the loudest sample allowed; `windows`, the seconds after a tone's attack at
 *   which the windows end whose power is measured (one more window has no end).
 * - rotation: by what numbers of days the log says how well an exercise is known. It is resting if it was
 *   not sung for `resting` days, and known if it was sung on `often` days of the last `known_within`. A
 *   log needs `enough` days before anything is called new. `window`: the days that count as lately.
 * - load: voices that wait for less than `long_wait` minutes while others sing are not named as
 *   waiting longest (our choice).
 * - stored: the names under which a browser stores the reader's choices, each followed by the address
 *   of the handbook.
 * - spans: the words for ranges of 0 to 24 semitones, which are messages too.
 * - ladder: the signs for how well a voice can sing in a key, and the words for each sign, by the end of
 *   its range beyond which the voice has notes. "touched": none of these notes is sustained for a beat;
 *   "octave": the voice changes its octave. All words are messages (`catalogue.py`), which are translated
 *   where they are shown.
 * - scales: the words for impact (about effort: 1 is body or breath; 5 is loud, or long at the edge of
 *   the voice) and for level (how soon an exercise is learned by ear). They have no word in common, so
 *   that readers do not confuse them. All are messages.
 * - swaps: the exercises that could take an item's place. `most`: how many are shown, with how many
 *   `reasons` each; `impact`: by how many levels of impact they may differ; `gentler`: how many lower they
 *   may be if something gentler is asked for. `distance`: how much a level of impact and one of difficulty
 *   count, if a quarter of a minute counts 1. `strengths`: that of each reason; 0 if it is a reason only
 *   when it is asked for. Its `words` are a message.
 */
export const FACTS = {
  "formats": {
    "notes": 1, "instrument": 1, "index": 3, "planning": 1, "search": 1, "warm_up_parts": 1
  },
  "pitch": {
    "a4_hertz": 440,
    "a4_midi": 69,
    "letters": "CDEFGAB",
    "naturals": [0, 2, 4, 5, 7, 9, 11],
    "flat_names": ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"],
    "alterations": {
      "-2": "{letter} double flat",
      "-1": "{letter} flat",
      "0": "{letter}",
      "1": "{letter} sharp",
      "2": "{letter} double sharp"
    }
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
  "spans": [
    "one note", "a minor second", "a major second", "a minor third", "a major third", "a fourth",
    "an augmented fourth", "a fifth", "a minor sixth", "a major sixth", "a minor seventh",
    "a major seventh", "an octave", "a minor ninth", "a major ninth", "a minor tenth", "a major tenth",
    "an eleventh", "an augmented eleventh", "a twelfth", "a minor thirteenth", "a major thirteenth",
    "a minor fourteenth", "a major fourteenth", "two octaves"
  ],
  "release": 0.05,
  "onset": { "within": 0.5, "audible": 0.1 },
  "loudness": { "target": -20, "peak": 0.9, "windows": [0.25, 0.5, 1, 2, 3] },
  "rotation": { "enough": 3, "resting": 56, "often": 3, "known_within": 84, "window": 28 },
  "load": { "long_wait": 2 },
  "stored": { "own_range": "chorus-handbook own-range", "playback": "chorus-handbook playback", "large_print": "chorus-handbook large-print" },
  "scales": {
    "impact": {
      "1": "no voice", "2": "gentle", "3": "light singing", "4": "full singing", "5": "strong, brief"
    },
    "level": { "1": "at once", "2": "a few tries", "3": "over some weeks" }
  },
  "swaps": {
    "most": 5,
    "reasons": 2,
    "impact": 1,
    "gentler": 2,
    "distance": { "impact": 4, "level": 2 },
    "strengths": {
      "rested": 7, "second": 7, "third": 7, "music": 6, "goal": 5, "gentler": 5, "easier": 5, "known": 4, "shorter": 4,
      "half-closed": 4, "everyone": 3, "stay": 3, "also-goal": 1, "without": 0, "seated": 0, "time": 0
    },
    "words": {
      "rested": "not sung for {time}",
      "second": "sung once so far, now for the second time",
      "third": "sung twice so far; known after the third time",
      "music": "serves the music that follows",
      "goal": "also mainly for {goal}",
      "gentler": "gentler: {impact}",
      "easier": "quicker to learn: {level}",
      "known": "the chorus knows it",
      "shorter": "shorter by {time}",
      "half-closed": "on a half-closed sound",
      "everyone": "more voices sing",
      "stay": "nobody has to walk",
      "also-goal": "for {goal} as well",
      "without": "works without {voices}",
      "seated": "can be done seated",
      "time": "takes {time}"
    }
  },
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
