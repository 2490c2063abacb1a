"""Tokens of ABC music become tones: pitches, lengths, ties, tuplets, marks (section 4)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.music.abc_borders import read_border
from chorus_handbook.music.abc_keys import Key
from chorus_handbook.music.abc_marks import FERMATAS, mark_sign, mark_slip
from chorus_handbook.music.abc_tokens import Token
from chorus_handbook.music.abc_written import Border, Mark, Piece, Tone, Written
from chorus_handbook.music.degrees_slips import MOST_OCTAVE_MARKS, shown
from chorus_handbook.music.score import Meter
from chorus_handbook.pitch import LETTERS, Pitch
from chorus_handbook.problems import Place, Problem

#: The finest length of a note outside a tuplet, as a share of a quarter: a 256th note.
_FINEST = 64
_LONGEST = 64  # quarters
MOST_REST_BARS = 100
#: How far an accidental holds to the bar line: in every octave, in its own, or not at all.
PROPAGATIONS = ("pitch", "octave", "not")

_ALTER = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}


@dataclass(slots=True)
class _Tuplet:
    """The notes still to come of a tuplet, each `factor` of its written length."""

    place: Place
    factor: Fraction
    left: int
    text: str


class MelodyReader:
    """Reads the tokens of one voice, line by line. `unit` is the length of a plain letter in
    quarters, `shift` the octaves by which the voice is written away from its sound,
    `propagation` how far accidentals hold."""

    def __init__(
        self,
        place: Place,
        key: Key,
        meter: Meter,
        unit: Fraction,
        shift: int,
        propagation: str = PROPAGATIONS[0],
    ) -> None:
        self.written = Written(place, [Border(place)])
        self.problems: list[Problem] = []
        self.unit, self.shift = unit, shift
        self._key, self._meter = key, meter
        self._piece: Piece | None = None
        self._propagation = propagation
        self._accidentals: dict[tuple[int, int], int] = {}  # those of this bar
        self._tuplet: _Tuplet | None = None
        self._factor: tuple[Fraction, Place] | None = None  # of the second note of a broken rhythm
        self._pending: list[Token] = []  # decorations of the next note
        self._part = ""
        self._takers: dict[str, Callable[[Token], None]] = {
            "note": self._note,
            "rest": self._rest,
            "bars": self._bars,
            "bar": self._bar,
            "volta": self._volta,
            "broken": self._broken,
            "tuplet": self._begin_tuplet,
            "tie": self._tie,
            "mark": self._decorate,
            "letter_mark": self._decorate,
        }

    def take(self, token: Token, part: str) -> None:
        """Read the next token, which stands in the given part of the tune."""
        if part != self._part:
            if self._piece:
                self._close(Border(token.place))
            self._part = part
        self._takers[token.kind](token)

    def end_line(self) -> None:
        """A line of the text has ended; what follows is another line's."""
        self._settle_pending()

    def finish(self) -> Written:
        """Close what was left open."""
        self._settle_pending()
        self._end_tuplet()
        self._end_broken()
        if self._piece:
            self._close(Border(self._piece.place))
        if self._piece and self.written.pieces:  # marks behind the last bar line
            self.written.pieces[-1].events += self._piece.events
        return self.written

    def _note(self, token: Token) -> None:
        step = LETTERS.index(token["step"].upper())
        marks = token["octave"]
        if len(marks) > MOST_OCTAVE_MARKS or len(set(marks)) > 1:
            self._complain(
                token.place,
                f"{shown(token.text)} "
                + ("goes up and down at once." if len(set(marks)) > 1 else "is out of all reach."),
                f"A comma is an octave lower, ' an octave higher; {MOST_OCTAVE_MARKS} at most.",
            )
            return
        octave = 4 + token["step"].islower() + marks.count("'") - marks.count(",") + self.shift
        held = step, octave if self._propagation == "octave" else 0
        alter = self._accidentals.get(held, self._key.altered.get(step, 0))
        if token["accidental"]:
            alter = _ALTER[token["accidental"]]
            if self._propagation != "not":
                self._accidentals[held] = alter
        last = self._last
        tied_from = last.pitch if last and last.tie and not token["accidental"] else None
        if tied_from and (tied_from.step, tied_from.octave) == (step, octave):
            alter = tied_from.alter  # an accidental holds over the bar line for a tied note
        pitch = Pitch(step, alter, octave)
        if abs(self._key.degree(pitch, 0).alter) > 1:
            self._complain(
                token.place,
                f"{shown(token.text)} lies more than a semitone away from the scale of the key.",
                "Write it as the note of the same sound with another letter, so that it can be "
                "written in other keys, too.",
            )
            return
        self._add(token, pitch, token["length"])

    def _rest(self, token: Token) -> None:
        self._add(token, None, token["silence"])

    def _add(self, token: Token, pitch: Pitch | None, length: str) -> None:
        duration = self._duration(token, length)
        if duration is None:
            return
        tone = Tone(token.place, pitch, duration, len(self.written.pieces))
        last = self._last
        tone.tied = bool(last and last.tie and pitch == last.pitch)
        self._events(token.place).append(tone)
        self.written.tones.append(tone)
        for mark in self._pending:
            if mark_sign(mark) in FERMATAS:
                tone.hold = True
            else:
                tone.breath = mark.place
        self._pending.clear()
        if self._tuplet:
            self._tuplet.left -= 1
            self._tuplet = self._tuplet if self._tuplet.left else None

    def _duration(self, token: Token, length: str) -> Fraction | None:
        above, _, below = length.partition("/")
        if below and not below.strip("/"):  # each stroke halves
            below = str(2 ** min(len(below) + 1, 9))
        elif not below:
            below = "2" if "/" in length else "1"
        factor = self._factor[0] if self._factor else Fraction(1)
        self._factor = None
        if len(above) > 3 or len(below) > 3 or int(below) == 0:
            self._no_length(token)
            return None
        duration = self.unit * factor * Fraction(int(above or 1), int(below))
        if not 0 < duration <= _LONGEST or _FINEST % duration.denominator:
            self._no_length(token)
            return None
        return duration * (self._tuplet.factor if self._tuplet else 1)

    def _no_length(self, token: Token) -> None:
        """Say that no note lasts as long as this."""
        self._complain(
            token.place,
            f"{shown(token.text)} has a length that no note has.",
            "Lengths are whole numbers, halves, quarters and so on of the L: length: C2, C/2, "
            "C3/2; thirds are written as (3CDE",
        )

    def _bars(self, token: Token) -> None:
        count = int(token["count"][:4] or 1)
        if self._meter.free or not 1 <= count <= MOST_REST_BARS:
            self._complain(
                token.place,
                f"{shown(token.text)} rests for bars, but the meter is free."
                if self._meter.free
                else f"A rest of {count} bars is not possible.",
                "Write rests with their length, such as z4."
                if self._meter.free
                else f"An exercise is short; at most {MOST_REST_BARS} bars.",
            )
            return
        for number in range(count):
            if number:
                self._close(Border(token.place, soft=False))
            tone = Tone(token.place, None, self._meter.bar, len(self.written.pieces))
            self._events(token.place).append(tone)
            self.written.tones.append(tone)

    def _bar(self, token: Token) -> None:
        self._settle_pending(at_bar=True)
        self._end_tuplet()
        self._end_broken()
        self._accidentals.clear()
        border = self._keep(read_border(token))
        if border:
            self._close(border)

    def _volta(self, token: Token) -> None:
        self._end_tuplet()
        border = self._keep(read_border(token))
        if border:
            self._close(border)

    def _close(self, border: Border) -> None:
        """Put a border behind what has been read; several at one place are one."""
        written = self.written
        if self._piece and any(isinstance(event, Tone) for event in self._piece.events):
            written.pieces.append(self._piece)
            written.borders.append(border)
            self._piece = None
            return
        last = written.borders[-1]
        if border.starts or border.ending or border.ends:
            last.place = border.place
        last.soft = last.soft or border.soft
        last.ends += border.ends
        last.starts = last.starts or border.starts
        last.ending = border.ending or last.ending

    def _broken(self, token: Token) -> None:
        last = self._last
        count = len(token.text)
        if (
            not last
            or not self._piece
            or self._piece.events[-1:] != [last]
            or self._factor
            or last.tie
            or count > 3
        ):
            self._complain(
                token.place,
                f"{shown(token.text)} does not stand between two notes of one bar.",
                "A>B makes the first longer and the second shorter, A<B the other way; at most "
                "three of them.",
            )
            return
        short = Fraction(1, 2**count)
        first, second = (2 - short, short) if token.text[0] == ">" else (short, 2 - short)
        longer = last.duration * first
        if longer.denominator & -longer.denominator > _FINEST:
            self._no_length(token)
            return
        last.duration = longer
        self._factor = second, token.place

    def _begin_tuplet(self, token: Token) -> None:
        self._end_tuplet()
        number = int(token["p"])
        usual = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}.get(number, 3 if self._meter.compound else 2)
        instead_of = int(token["q"][:3] or usual)
        notes = int(token["r"][:3] or number)
        if number < 2 or not 1 <= instead_of <= 16 or not 1 <= notes <= 32:
            self._complain(
                token.place,
                f"{shown(token.text)} begins no tuplet.",
                "Write (3CDE for three notes in the time of two, (5:4CDEFG for five in that of "
                "four; 2 to 9 notes. A slur is ( without a number.",
            )
            return
        self._tuplet = _Tuplet(token.place, Fraction(instead_of, number), notes, token.text)

    def _end_tuplet(self) -> None:
        if self._tuplet:
            left = self._tuplet.left
            self._complain(
                self._tuplet.place,
                f"The tuplet {self._tuplet.text} wants {left} more note{'s' * (left > 1)} in this "
                "bar.",
                "Write as many notes as it says, or say how many: (3:2:2 for two notes.",
            )
            self._tuplet = None

    def _end_broken(self) -> None:
        if self._factor:
            self._complain(
                self._factor[1],
                "This broken rhythm has no second note in its bar.",
                "Write > or < between two notes.",
            )
            self._factor = None

    def _tie(self, token: Token) -> None:
        last = self._last
        if last is None or last.pitch is None or last.tie:
            self._complain(
                token.place,
                "There is no note before this - that it could tie.",
                "Write - straight behind a note and the same note again: C-C",
            )
            return
        last.tie = token.place

    def _decorate(self, token: Token) -> None:
        slip = mark_slip(token)
        if slip:
            self.problems.append(slip)
            return
        sign = mark_sign(token)
        if sign in FERMATAS or sign == "breath":
            self._pending.append(token)
        else:
            self._events(token.place).append(Mark(token.place, sign))

    def _settle_pending(self, at_bar: bool = False) -> None:
        """Decorations that no note follows in their bar: a breath stands where it is sung."""
        last = self._last
        for mark in self._pending:
            if mark_sign(mark) == "breath" and last:
                last.breath = mark.place
            else:
                self._complain(
                    mark.place,
                    f"{mark.text} stands before {'a bar line' if at_bar else 'no note'}.",
                    "A decoration stands straight before its note.",
                )
        self._pending.clear()

    @property
    def _last(self) -> Tone | None:
        return self.written.tones[-1] if self.written.tones else None

    def _events(self, place: Place) -> list[Tone | Mark]:
        if self._piece is None:
            self._piece = Piece(place, part=self._part)
        return self._piece.events

    def _keep(self, read: tuple[Border | None, list[Problem]]) -> Border | None:
        self.problems += read[1]
        return read[0]

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(place, "notation-token", message, hint))
