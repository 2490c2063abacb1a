"""Names chords: chord symbols such as "Am7/G", and Roman numerals such as "ii⁶₅".

Every note of a chord is tried as its root: the intervals of the other notes above it, as they are
spelled, are looked up in the table `_QUALITIES`. A seventh or ninth chord may lack its fifth; then
it is named as if it had the fifth of the scale (D F C is a half-diminished seventh in C minor). A
chord that is not in the table has no name, which is better than a wrong one.

When several names are possible (C6 is also Am7), we take the one whose root is the lowest note of
the chord; if there is none, the one that comes first in the table. This is our choice: pianists
read such a chord from its lowest note.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import NATURALS, Pitch, interval_name

#: A spelled pitch class: scale steps (0 to 6) and semitones (0 to 11), both above the tonic.
PitchClass = tuple[int, int]
#: The triad on the tonic, minor in minor modes.
TONIC_CHORD = (Degree(0), Degree(2), Degree(4))

#: For each kind of chord: the intervals above the root, what a chord symbol writes after the root,
#: and what a Roman numeral writes after the degree (common practice).
_QUALITIES = (
    ("M3 P5", "", ""),
    ("m3 P5", "m", ""),
    ("m3 d5", "°", "°"),
    ("M3 A5", "+", "+"),
    ("M3 P5 m7", "7", ""),
    ("M3 P5 M7", "maj7", "maj"),
    ("m3 P5 m7", "m7", ""),
    ("m3 d5 m7", "ø7", "ø"),
    ("m3 d5 d7", "°7", "°"),
    ("m3 P5 M7", "m(maj7)", "maj"),
    ("M3 A5 m7", "+7", "+"),
    ("M3 A5 M7", "+maj7", "+maj"),
    ("P4 P5 m7", "7sus4", "⁷sus4"),
    ("M2 M3 P5 m7", "9", "⁹"),
    ("M2 M3 P5 M7", "maj9", "maj⁹"),
    ("M2 m3 P5 m7", "m9", "⁹"),
    ("M2 M3 P5", "add9", "add9"),
    ("M2 m3 P5", "m(add9)", "add9"),
    ("P4 P5", "sus4", "sus4"),
    ("M2 P5", "sus2", "sus2"),
    ("M3 P5 M6", "6", "add6"),
    ("m3 P5 M6", "m6", "add6"),
)
#: The row of the table in which a set of intervals is found.
_ROWS = {frozenset(intervals.split()): row for row, (intervals, *_) in enumerate(_QUALITIES)}
#: The first and last column of the table, by the middle one.
_BY_SYMBOL = {symbol: (frozenset(row.split()), sign) for row, symbol, sign in _QUALITIES}
#: A chord with a third and a seventh counts as a seventh chord; in sus4 chords the fourth stands
#: for the third.
_THIRDS, _SEVENTHS = frozenset({"m3", "M3", "P4"}), frozenset({"m7", "M7", "d7"})
_FIFTHS = ("P5", "d5", "A5")
#: The figures that mark an inversion, by how many scale steps the lowest note is above the root.
_TRIAD_FIGURES = {0: "", 2: "⁶", 4: "⁶₄"}
_SEVENTH_FIGURES = {0: "⁷", 2: "⁶₅", 4: "⁴₃", 6: "⁴₂"}
_NUMERALS = "I II III IV V VI VII".split()
_SUBMEDIANT = 5


@dataclass(frozen=True, slots=True)
class ChordName:
    """The name of a chord, in no particular key: its root, its quality as in a chord symbol ("m7"),
    and its lowest note."""

    root: PitchClass
    quality: str
    bass: PitchClass

    def symbol(self, tonic: Pitch) -> str:
        """The symbol in the key on `tonic`: "F♯ø7", "Am7/G"."""
        bass = "" if self.bass == self.root else f"/{_letter(self.bass, tonic)}"
        return f"{_letter(self.root, tonic)}{self.quality}{bass}"

    def numeral(self, mode: str) -> str:
        """The Roman numeral with figures for inversions, such as "ii⁶₅" or "♭VII".

        Degrees are those of the mode. In minor, therefore, VI and VII have no accidental.
        Diminished chords on the raised sixth and seventh have none either (common practice). Chords
        with a major third have capital letters. Secondary dominants are not marked: V of V is II.
        """
        intervals, sign = _BY_SYMBOL[self.quality]
        steps, semitones = self.root
        # the semitones by which the root is raised against the scale, from -6 to 5
        alter = (semitones - Degree(steps).semitones(mode) + 6) % 12 - 6
        if mode == "minor" and steps >= _SUBMEDIANT and "d5" in intervals:
            alter -= 1
        numeral = _NUMERALS[steps].lower() if "m3" in intervals else _NUMERALS[steps]
        accidental = "♯" * alter if alter > 0 else "♭" * -alter
        return f"{accidental}{numeral}{sign}{self._figures(intervals)}"

    def _figures(self, intervals: frozenset[str]) -> str:
        """The figures of the inversion; empty except for triads and seventh chords."""
        sizes = "".join(sorted(name[1] for name in intervals))  # "35" for "m3" and "P5"
        figures = {"35": _TRIAD_FIGURES, "357": _SEVENTH_FIGURES}.get(sizes, {})
        steps, _ = interval_above(self.root, self.bass)
        return figures.get(steps, "")


@dataclass(frozen=True, slots=True)
class NamedChord:
    """A chord that sounds for a beat or more.

    at: when it begins, in beats from the start of the exercise with its repeats written out.
    beats: how long it lasts.
    bar, last_bar: the first and the last bar in which it sounds, counted from 1 as they are sung; a
        pickup is bar 0.
    notes: the ids, in the drawing, of the notes that begin when the chord begins.
    """

    at: float
    beats: float
    bar: int
    last_bar: int
    name: ChordName
    notes: tuple[str, ...] = ()


def name_chord(classes: Collection[PitchClass], lowest: PitchClass, mode: str) -> ChordName | None:
    """The name of the chord of these pitch classes, of which `lowest` is in the bass; None if it
    has no name. `mode` is the mode of the music, such as "minor"."""
    candidates = [
        (root != lowest, row, root)  # the least is the best: first a root in the bass, then by row
        for root in classes
        if (row := _row(root, classes, mode)) is not None
    ]
    if not candidates:
        return None
    _, row, root = min(candidates)
    return ChordName(root, _QUALITIES[row][1], lowest)


def _row(root: PitchClass, classes: Collection[PitchClass], mode: str) -> int | None:
    """The index of the row of `_QUALITIES` whose intervals these pitch classes make above `root`;
    None if there is no such row."""
    intervals = intervals_above(root, classes) - {"P1"}
    if intervals & _THIRDS and intervals & _SEVENTHS and not intervals & {*_FIFTHS}:
        steps, semitones = root
        fifth_in_scale = (Degree(steps + 4).semitones(mode) - semitones) % 12
        for fifth in (interval_name(4, fifth_in_scale), *_FIFTHS):
            row = _ROWS.get(intervals | {fifth})
            if row is not None:
                return row
    return _ROWS.get(intervals)


def interval_above(root: PitchClass, other: PitchClass) -> PitchClass:
    """The interval from `root` up to `other`: scale steps (0 to 6) and semitones (0 to 11)."""
    return (other[0] - root[0]) % 7, (other[1] - root[1]) % 12


def intervals_above(root: PitchClass, classes: Iterable[PitchClass]) -> frozenset[str]:
    """The names of the intervals from `root` up to each pitch class, such as "M3" and "P5"; the
    root itself is "P1"."""
    return frozenset(interval_name(*interval_above(root, other)) for other in classes)


def _letter(pitch_class: PitchClass, tonic: Pitch) -> str:
    """The letter of a pitch class in the key on `tonic`, with its accidental: "F♯"."""
    steps, semitones = pitch_class
    semitones -= 12 * round((semitones - NATURALS[steps]) / 12)  # C♭ is (0, 11), a semitone down
    letter = tonic.moved(steps, semitones).letter
    return letter[0] + letter[1:].replace("#", "♯").replace("b", "♭")
