"""Tokens of ABC music become tones between borders, with their ties and marks (section 4)."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from chorus_handbook.music.abc.borders import read_border
from chorus_handbook.music.abc.marks import FERMATAS, mark_sign, mark_slip
from chorus_handbook.music.abc.pitches import PROPAGATIONS, Pitches
from chorus_handbook.music.abc.rhythm import Rhythm
from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.score import Meter
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import Border, Key, Mark, Piece, Tone, Written
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

MOST_REST_BARS = 100


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
        self._meter = meter
        self._pitches = Pitches(key, shift, propagation, self.problems)
        self._rhythm = Rhythm(meter, unit, self.problems)
        self._piece: Piece | None = None
        self._pending: list[Token] = []  # decorations of the next note
        self._part = ""
        self._takers: dict[str, Callable[[Token], None]] = {
            "note": self._note,
            "rest": self._rest,
            "bars": self._bars,
            "bar": self._bar,
            "volta": self._volta,
            "broken": self._broken,
            "tuplet": self._rhythm.begin_tuplet,
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
            if self._piece:  # marks without notes belong to what follows
                self._piece.part = part
        self._takers[token.kind](token)

    def set_unit(self, unit: Fraction) -> None:
        """From here on a plain letter lasts `unit` quarters."""
        self._rhythm.unit = unit

    def set_shift(self, shift: int) -> None:
        """From here on the letters sound `shift` octaves away from where they stand."""
        self._pitches.shift = shift

    def end_line(self) -> None:
        """A line of the text has ended; what follows is another line's."""
        self._settle_pending()

    def finish(self) -> Written:
        """Close what was left open."""
        self._settle_pending()
        self._rhythm.end()
        if self._piece:
            self._close(Border(self._piece.place))
        if self._piece and self.written.pieces:  # marks behind the last bar line
            self.written.pieces[-1].events += self._piece.events
        return self.written

    def _note(self, token: Token) -> None:
        last = self._last
        pitch = self._pitches.read(token, last.pitch if last and last.tie else None)
        if pitch:
            self._add(token, pitch, token["length"])

    def _rest(self, token: Token) -> None:
        self._add(token, None, token["silence"])

    def _add(self, token: Token, pitch: Pitch | None, length: str) -> None:
        duration = self._rhythm.duration(token, length)
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
        self._rhythm.end()
        self._pitches.end_bar()
        border = self._keep(read_border(token))
        if border:
            self._close(border)

    def _volta(self, token: Token) -> None:
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
            or self._rhythm.broken
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
        self._rhythm.break_rhythm(token, last)

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
