"""Reads one part of a MusicXML file, measure by measure: which notes it has and when they begin.

A measure may contain several *layers* (MusicXML calls them voices): lines of music on one staff or
several. A note begins when the note before it ends, or with it if both are in a chord; `backup` and
`forward` go to another moment, such as back to the start for the next layer. The file is valid by
the schema, so only the meaning of its elements is considered here (MusicXML 4.0 reference). Times
are in quarters from the start of the measure.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

from chorus_handbook.music.musicxml.notes import read_pitch, starts_tie, written_note
from chorus_handbook.music.musicxml.places import Places
from chorus_handbook.music.musicxml.transposing import Transposition, read_transposition
from chorus_handbook.music.score import DYNAMICS
from chorus_handbook.music.written import Barline, Mark, WrittenNote
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

if TYPE_CHECKING:
    from lxml.etree import _Element

#: What identifies a layer of a part: its staff (from 1, from the top), and its voice in the file.
LayerKey = tuple[int, str]

#: The longest measure, in quarters.
_LONGEST_MEASURE = 64
#: The most parts into which a file may divide a quarter.
_MOST_DIVISIONS = 1_000_000
#: The most notes of a chord.
_MOST_AT_ONCE = 16
#: The highest MIDI note number.
_HIGHEST = 127
#: The signs (`Mark`) with which hairpins begin.
_WEDGES = {"crescendo": "<(", "diminuendo": ">("}
#: Attributes that send a singer to another place in the score.
_JUMPS = ("dacapo", "dalsegno", "tocoda")


@dataclass(slots=True)
class Timed:
    """A written note or rest, and the moment in the measure at which it begins. A `hidden` rest is
    not printed."""

    onset: Fraction
    note: WrittenNote
    hidden: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.note.duration


@dataclass(slots=True)
class Layer:
    """The notes and rests of one layer in a measure."""

    timed: list[Timed] = field(default_factory=list)


@dataclass(slots=True)
class Measure:
    """A measure of one part.

    layers: its notes and rests.
    marks: its dynamics and hairpins, each with its moment and the number of its staff (0 for all
        staves).
    length: in quarters, up to the end of the layer that lasts longest.
    left, right: the bar lines before and after it.
    """

    place: Place
    layers: dict[LayerKey, Layer] = field(default_factory=dict)
    marks: list[tuple[Fraction, int, Mark]] = field(default_factory=list)
    length: Fraction = Fraction(0)
    left: Barline = field(init=False)
    right: Barline = field(init=False)

    def __post_init__(self) -> None:
        self.left, self.right = Barline(self.place), Barline(self.place)


class Walk:
    """Reads the measures of one part in order. It adds the note elements to `elements`, by
    `WrittenNote.id`, and reports in `problems` what is wrong or not supported."""

    def __init__(
        self, places: Places, elements: dict[str, _Element], problems: list[Problem]
    ) -> None:
        self._place = places.of
        self._elements = elements
        self._problems = problems
        self._divisions = Fraction(1)  # how many units of a duration make a quarter
        self._durations: dict[str, Fraction] = {}  # in quarters, by their text in the file
        self._finest = 1  # all durations so far are multiples of a quarter divided by this
        self._slurs: dict[tuple[LayerKey, str], WrittenNote] = {}  # open slurs: their first notes
        self._transposed: dict[int, Transposition] = {}  # by staff; 0 for all staves
        self._graces: dict[LayerKey, list[Pitch]] = {}  # grace notes that wait for their note
        self._readers: dict[str, Callable[[_Element], None]] = {
            "attributes": self._attributes,
            "note": self._note,
            "backup": self._backup,
            "forward": self._forward,
            "direction": self._direction,
            "barline": self._barline,
            "sound": self._sound,
        }

    def measure(self, element: _Element, number: int) -> Measure:
        """Read the next measure; `number` is its index, from 0."""
        self._number = number
        self._measure = Measure(self._place(element))
        self._now = Fraction(0)  # the present moment in the file's order
        self._begun = Fraction(0)  # when the last note began; further notes of its chord begin then
        self._last: Timed | None = None  # the last note, to which notes of a chord are added
        for child in element:
            reader = self._readers.get(str(child.tag))
            if reader:
                reader(child)
        if self._measure.length > _LONGEST_MEASURE:
            self._complain(
                element,
                f"This bar lasts more than {_LONGEST_MEASURE} quarters.",
                "Check its note values in the notation editor.",
                "notation-size",
            )
        return self._measure

    def _attributes(self, element: _Element) -> None:
        divisions = element.findtext("divisions")
        if divisions is not None:
            self._divisions = Fraction(divisions.strip())
            self._durations.clear()
            if not 0 < self._divisions <= _MOST_DIVISIONS:
                self._complain(
                    element,
                    f'The element "divisions" cannot have the value "{divisions.strip()[:20]}".',
                    "Export the score again from the notation editor.",
                )
                self._divisions = Fraction(1)
        for transpose in element.findall("transpose"):
            staff = int(transpose.get("number", 0))
            self._transposed[staff] = read_transposition(transpose)

    def _duration(self, element: _Element) -> Fraction:
        """The duration of an element in quarters; 0 if it is not possible, which is reported."""
        text = (element.findtext("duration") or "0").strip()
        duration = self._durations.get(text)
        if duration is not None:
            return duration
        duration = Fraction(text) / self._divisions
        finest = lcm(self._finest, duration.denominator)
        if duration > _LONGEST_MEASURE or finest > _MOST_DIVISIONS:
            self._complain(
                element,
                f"Something in this bar lasts {float(duration):.3g} quarters, which is not "
                "possible.",
                "Check the note values of this bar in the notation editor.",
            )
            return Fraction(0)
        self._finest = finest
        self._durations[text] = duration
        return duration

    def _note(self, element: _Element) -> None:
        duration = self._duration(element)
        staff = int(element.findtext("staff", "1"))
        key = (staff, element.findtext("voice", "1").strip())
        chord = element.find("chord") is not None
        if not chord and element.find("grace") is None:
            self._begun = self._now
        if element.find("cue") is not None:  # a small note that shows what others sing
            if not chord:
                self._now += duration
                self._last = None
                self._reach()
            return
        pitch = self._pitch(element, staff)
        if element.find("grace") is not None:
            if pitch and not chord:
                self._graces.setdefault(key, []).append(pitch)
            return
        if chord and self._last:
            if pitch and self._last.note.pitch:
                self._add_to_chord(pitch, element, self._last.note)
            self._slur(element, self._last.note, key)
            return
        note = written_note(element, self._place(element), pitch, duration, self._number)
        if note.pitch or note.spoken:
            note.graces = tuple(self._graces.pop(key, ()))
            self._register(element, note)
        self._slur(element, note, key)
        hidden = note.silent and element.get("print-object") == "no"
        # A further note of a chord gets here only if the chord's first note is a cue. It begins
        # when the cue does, which is no longer the present moment.
        self._last = Timed(self._begun, note, hidden)
        self._measure.layers.setdefault(key, Layer()).timed.append(self._last)
        if not chord:
            self._now += duration
        self._reach()

    def _add_to_chord(self, pitch: Pitch, element: _Element, note: WrittenNote) -> None:
        """Add a pitch, that of the note `element`, to a written note, which becomes a chord. The
        chord is tied to the next one only if all of its notes are; otherwise a note that is sung
        again would be lost."""
        assert note.pitch
        note.tie = note.tie if starts_tie(element) else None
        pitches = sorted({pitch, note.pitch, *note.below}, key=_height)
        if len(pitches) > _MOST_AT_ONCE:
            hint = "In the notation editor, delete notes that nobody sings."
            self._complain(element, f"This chord has more than {_MOST_AT_ONCE} notes.", hint)
            return
        note.pitch, note.below = pitches[0], tuple(pitches[1:])
        self._register(element, note)

    def _slur(self, element: _Element, note: WrittenNote, key: LayerKey) -> None:
        """Count the slurs that begin and end at a note. Only slurs between two notes of one layer
        count."""
        slurs = element.findall("notations/slur")
        for slur in sorted(slurs, key=lambda slur: slur.get("type") != "stop"):  # stops first
            name = key, str(slur.get("number", "1"))
            if slur.get("type") == "start":
                self._slurs[name] = note
            elif slur.get("type") == "stop":
                begun = self._slurs.pop(name, None)
                if begun is not None:
                    begun.slurs_begin += 1
                    note.slurs_end += 1

    def _register(self, element: _Element, note: WrittenNote) -> None:
        """Keep a note element of the file under the id of its written note. A chord has the id of
        its first note."""
        name = f"{len(self._elements)}"
        self._elements[name] = element
        note.id = note.id or name

    def _pitch(self, element: _Element, staff: int) -> Pitch | None:
        """The pitch at which a note element sounds: the written pitch, moved if the part
        transposes. None for rests and spoken notes, and when it is wrong, which is reported."""
        pitch = read_pitch(element)
        if pitch is None:
            return None
        if isinstance(pitch, str):  # a message
            hint = "In the notation editor, write it with sharps, flats or naturals."
            self._complain(element, pitch, hint)
            return None
        transposition = self._transposed.get(staff) or self._transposed.get(0) or Transposition()
        sounding = transposition.sounding(pitch)
        if not 0 <= sounding.midi <= _HIGHEST:
            hint = "Correct its octave in the notation editor."
            self._complain(element, "This note is too high or too low for any voice.", hint)
            return None
        return sounding

    def _backup(self, element: _Element) -> None:
        self._now -= self._duration(element)
        self._last = None
        if self._now < 0:
            self._complain(
                element,
                "Some notes of this bar would begin before the bar does.",
                "Export the score again from the notation editor.",
            )
            self._now = Fraction(0)

    def _forward(self, element: _Element) -> None:
        self._now += self._duration(element)
        self._last = None
        self._reach()

    def _reach(self) -> None:
        """Lengthen the measure to the present moment if it was shorter."""
        self._measure.length = max(self._measure.length, self._now)

    def _direction(self, element: _Element) -> None:
        offset = element.findtext("offset")
        at = self._now + (Fraction(offset.strip()) / self._divisions if offset else 0)
        staff = int(element.findtext("staff", "0"))
        for kind in element.iterfind("direction-type/*"):
            if kind.tag == "dynamics":
                for sign in kind:
                    if sign.tag in DYNAMICS:
                        self._mark(kind, at, staff, str(sign.tag))
            elif kind.tag == "wedge":
                self._mark(kind, at, staff, _WEDGES.get(str(kind.get("type")), ")"))
        for sound in element.iterfind("sound"):
            self._sound(sound)

    def _mark(self, element: _Element, at: Fraction, staff: int, sign: str) -> None:
        """Add a dynamic, or the beginning or end of a hairpin, at the moment `at`."""
        self._measure.marks.append((max(at, Fraction(0)), staff, Mark(self._place(element), sign)))

    def _sound(self, element: _Element) -> None:
        """Report a jump. Everything else in a `sound` element is for computers that play."""
        if any(element.get(jump) not in (None, "no") for jump in _JUMPS):
            self._complain(
                element,
                "There is a jump to another place here (da capo, dal segno or coda), which the "
                "handbook does not support.",
                "In the notation editor, write the music out, or use a repeat with endings.",
            )

    def _barline(self, element: _Element) -> None:
        line = self._measure.left if element.get("location") == "left" else self._measure.right
        repeat, ending = element.find("repeat"), element.find("ending")
        if repeat is not None:
            if repeat.get("direction") == "forward":
                line.starts = True
            else:
                line.times_back = max(int(repeat.get("times", "2")) - 1, 1)
        if ending is not None and ending.get("type") != "start":
            line.over = True
        elif ending is not None:
            numbers = {int(n) for n in re.findall("[0-9]+", str(ending.get("number", "")))}
            line.ending = tuple(sorted(numbers - {0}))

    def _complain(
        self, element: _Element, message: str, hint: str, code: str = "notation-token"
    ) -> None:
        self._problems.append(Problem(self._place(element), code, message, hint))


def _height(pitch: Pitch) -> tuple[int, int]:
    """A key for sorting pitches, the highest first."""
    return -pitch.midi, -pitch.step
