"""Turns the signs of ABC music into written notes between bar lines, with ties, slurs and marks
(section 4).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from chorus_handbook.music.abc.barlines import read_barline
from chorus_handbook.music.abc.chords import read_chord, read_graces
from chorus_handbook.music.abc.decorations import PendingDecorations
from chorus_handbook.music.abc.marks import mark_sign, stands_before, unsupported_decoration
from chorus_handbook.music.abc.pitches import PROPAGATIONS, Pitches
from chorus_handbook.music.abc.rhythm import Rhythm, read_length
from chorus_handbook.music.abc.slurs import WrittenSlurs
from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.score import Meter
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import Barline, Key, Mark, Piece, WrittenNote, WrittenVoice
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

#: The most bars that one `Z` may rest for.
MOST_REST_BARS = 100


class MelodyReader:
    """Reads the music of one voice, line by line.

    unit: the length of a letter without a number, in quarters.
    shift: how many octaves are added to the octave that the letters state.
    symbols: single signs that stand for decorations (`U:`).
    propagation: how far accidentals are valid.
    """

    def __init__(
        self,
        place: Place,
        key: Key,
        meter: Meter,
        unit: Fraction,
        shift: int,
        symbols: Mapping[str, str],
        propagation: str = PROPAGATIONS[0],
    ) -> None:
        self.written = WrittenVoice(place, [Barline(place)])
        self.problems: list[Problem] = []
        self._meter = meter
        self._symbols = symbols
        self._pitches = Pitches(key, shift, propagation, self.problems)
        self._rhythm = Rhythm(meter, unit, self.problems)
        self._piece: Piece | None = None
        self._pending = PendingDecorations(self.problems)
        self._slurs = WrittenSlurs(self.problems)
        self._part = ""
        self._takers: dict[str, Callable[[Token], None]] = {  # by the kind of token
            "note": self._note,
            "chord": self._chord,
            "grace": self._grace,
            "slur": self._slur,
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
                self._close(Barline(token.place))
            self._part = part
            if self._piece:  # marks before the first note of the new part
                self._piece.part = part
        self._takers[token.kind](token)

    def set_unit(self, unit: Fraction) -> None:
        """Set the length of a letter without a number, in quarters, from here on."""
        self._rhythm.unit = unit

    def set_shift(self, shift: int) -> None:
        """Set how many octaves are added to the octave of the letters, from here on."""
        self._pitches.shift = shift

    def end_line(self) -> None:
        """End a line of the text. Decorations and grace notes do not wait for the next line."""
        self._pending.settle(self._last)

    def finish(self) -> WrittenVoice:
        """End the voice: report what was left open. Returns everything that was read."""
        self._pending.settle(self._last)
        self._slurs.finish()
        self._rhythm.end()
        if self._piece:
            self._close(Barline(self._piece.place))
        if self._piece and self.written.pieces:  # marks after the last bar line
            self.written.pieces[-1].events += self._piece.events
        return self.written

    def _note(self, token: Token) -> None:
        pitch = self._pitches.read(token, self._tied)
        if pitch:
            self._add(token, [pitch], read_length(token["length"]))

    def _chord(self, token: Token) -> None:
        chord, problems = read_chord(token, self._symbols)
        self.problems += problems
        if chord is None:
            return
        tied = self._tied
        pitches = [self._pitches.read(note, tied) for note in chord.notes]
        found = [pitch for pitch in pitches if pitch]
        if len(found) == len(pitches) and self._add(token, found, chord.length) and chord.tie:
            self.written.tones[-1].tie = chord.tie

    def _rest(self, token: Token) -> None:
        if self._add(token, [], read_length(token["silence"])):
            self.written.tones[-1].hidden = token.text[0] == "x"

    def _add(self, token: Token, pitches: Sequence[Pitch], length: Fraction | None) -> bool:
        """Add a note, or a rest if there are no pitches. Returns whether its length is valid."""
        duration = self._rhythm.duration(token, length)
        if duration is None:
            return False
        downward = sorted(set(pitches), key=lambda pitch: (-pitch.midi, -pitch.step))
        top = downward[0] if downward else None
        tone = WrittenNote(
            token.place, top, duration, len(self.written.pieces), below=tuple(downward[1:])
        )
        last = self._last
        tone.tied = bool(last and last.tie and tone.sounds_like(last))
        self._events(token.place).append(tone)
        self.written.tones.append(tone)
        self._pending.give(tone)
        self._slurs.take(tone)
        return True

    def _grace(self, token: Token) -> None:
        notes, problems = read_graces(token, self._symbols)
        self.problems += problems
        pitches = [self._pitches.read(note) for note in notes]
        self._pending.grace(token, [pitch for pitch in pitches if pitch])

    def _slur(self, token: Token) -> None:
        if token.text == ")":
            self._slurs.end(token.place, self._last)
        else:
            self._slurs.begin(token.place)

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
                self._close(Barline(token.place, soft=False))
            tone = WrittenNote(token.place, None, self._meter.bar, len(self.written.pieces))
            tone.hidden = token.text[0] == "X"
            self._events(token.place).append(tone)
            self.written.tones.append(tone)

    def _bar(self, token: Token) -> None:
        self._pending.settle(self._last, at_bar=True)
        self._rhythm.end()
        self._pitches.end_bar()
        self._volta(token)

    def _volta(self, token: Token) -> None:
        barline, problems = read_barline(token)
        self.problems += problems
        if barline:
            self._close(barline)

    def _close(self, barline: Barline) -> None:
        """Add a bar line after what has been read. Several without notes between them are
        merged."""
        self._slurs.pass_barline(barline)
        written = self.written
        if self._piece and any(isinstance(event, WrittenNote) for event in self._piece.events):
            written.pieces.append(self._piece)
            written.barlines.append(barline)
            self._piece = None
            return
        last = written.barlines[-1]
        if barline.starts or barline.ending or barline.times_back:
            last.place = barline.place
        last.soft = last.soft or barline.soft
        last.times_back += barline.times_back
        last.starts = last.starts or barline.starts
        last.ending = barline.ending or last.ending

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
                "There is no note before this - for it to tie.",
                "Write - directly after a note, then the same note again: C-C",
            )
            return
        last.tie = token.place

    def _decorate(self, token: Token) -> None:
        error = unsupported_decoration(token)
        if error:
            self.problems.append(error)
            return
        sign = mark_sign(token)
        if stands_before(sign):
            self._pending.mark(token)
        else:
            self._events(token.place).append(Mark(token.place, sign))

    @property
    def _last(self) -> WrittenNote | None:
        return self.written.tones[-1] if self.written.tones else None

    @property
    def _tied(self) -> Sequence[Pitch]:
        """The pitches of the note before, if it is tied to the next one."""
        last = self._last
        return (last.pitch, *last.below) if last and last.tie and last.pitch else ()

    def _events(self, place: Place) -> list[WrittenNote | Mark]:
        if self._piece is None:
            self._piece = Piece(place, part=self._part)
        return self._piece.events

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(place, "notation-token", message, hint))
