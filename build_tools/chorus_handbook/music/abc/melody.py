"""Turns the signs (tokens) of one voice of ABC music into written notes between bar lines, with
ties, slurs, decorations and dynamics (section 4 of the standard).

`MelodyReader` has a method for each kind of token. Pitches, lengths, slurs, and the decorations
that wait for their note are kept in objects of their own (`pitches`, `rhythm`, `slurs`,
`decorations`). The music between two bar lines is a `Piece` (`music/written.py`); repeats are not
written out here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from chorus_handbook.music.abc.barlines import read_barline
from chorus_handbook.music.abc.chords import read_chord, read_graces
from chorus_handbook.music.abc.decoration_names import (
    belongs_to_note,
    decoration_name,
    unsupported_decoration,
)
from chorus_handbook.music.abc.decorations import PendingDecorations
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
#: The most signs of one broken rhythm: A>>>B.
MOST_BROKEN = 3


class MelodyReader:
    """Reads the music of one voice, token by token. Call `end_line` after each line of the text,
    and `finish` at the end.

    place: where the voice begins in the file.
    unit: the length of a letter without a number, in quarters.
    shift: how many octaves are added to the octave that the letters state.
    symbols: the decorations that single letters stand for (`U:`).
    propagation: how far accidentals are valid; one of `PROPAGATIONS`.
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
        self._piece: Piece | None = None  # what has been read since the last bar line
        self._pending = PendingDecorations(self.problems)
        self._slurs = WrittenSlurs(self.problems)
        self._part = ""  # the letter of the part of the tune (`P:`)
        self._readers: dict[str, Callable[[Token], None]] = {  # by the kind of token
            "note": self._note,
            "chord": self._chord,
            "grace": self._grace,
            "slur": self._slur,
            "rest": self._rest,
            "bars": self._rest_for_bars,
            "bar": self._bar,
            "volta": self._close_piece,
            "broken": self._broken,
            "tuplet": self._rhythm.begin_tuplet,
            "tie": self._tie,
            "decoration": self._decorate,
            "symbol": self._decorate,
        }

    def take(self, token: Token, part: str) -> None:
        """Read the next token. `part` is the letter of the part of the tune in which it stands
        (`P:`); empty in a tune without parts."""
        if part != self._part:
            if self._piece:
                self._close(Barline(token.place))
            self._part = part
            if self._piece:  # marks before the first note of the new part
                self._piece.part = part
        self._readers[token.kind](token)

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
        read = [self._pitches.read(note, tied) for note in chord.notes]
        pitches = [pitch for pitch in read if pitch]
        if len(pitches) == len(read) and self._add(token, pitches, chord.length) and chord.tie:
            self.written.notes[-1].tie = chord.tie

    def _rest(self, token: Token) -> None:
        if self._add(token, [], read_length(token["silence"])):
            self.written.notes[-1].hidden = token.text.startswith("x")  # z is a visible rest

    def _add(self, token: Token, pitches: Sequence[Pitch], length: Fraction | None) -> bool:
        """Add a note, or a rest if there are no pitches. `length` is in units of `L:`, None if it
        is not a length. Returns whether the length is valid."""
        duration = self._rhythm.duration(token, length)
        if duration is None:
            return False
        downward = sorted(set(pitches), key=lambda pitch: (-pitch.midi, -pitch.step))
        top = downward[0] if downward else None
        note = WrittenNote(
            token.place, top, duration, len(self.written.pieces), below=tuple(downward[1:])
        )
        last = self._last
        note.tied = bool(last and last.tie and note.sounds_like(last))
        self._events(token.place).append(note)
        self.written.notes.append(note)
        self._pending.give(note)
        self._slurs.take(note)
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

    def _rest_for_bars(self, token: Token) -> None:
        """Read a rest for whole bars, such as Z4, or X4, which is not drawn."""
        count = int(token["count"][:4] or 1)
        if self._meter.free:
            self._complain(
                token.place,
                f"{shown(token.text)} rests for whole bars, but the meter is free.",
                'Write a rest with its length, such as "z4".',
            )
            return
        if not 1 <= count <= MOST_REST_BARS:
            self._complain(
                token.place,
                f"A rest of {count} bars is not possible.",
                f'Write a number from 1 to {MOST_REST_BARS}, as in "Z4".',
            )
            return
        for number in range(count):
            if number:
                self._close(Barline(token.place, soft=False))
            note = WrittenNote(token.place, None, self._meter.bar, len(self.written.pieces))
            note.hidden = token.text.startswith("X")
            self._events(token.place).append(note)
            self.written.notes.append(note)

    def _bar(self, token: Token) -> None:
        self._pending.settle(self._last, at_bar=True)
        self._rhythm.end()
        self._pitches.end_bar()
        self._close_piece(token)

    def _close_piece(self, token: Token) -> None:
        """Read a bar line, or the number of an ending, which counts as a bar line here."""
        barline, problems = read_barline(token)
        self.problems += problems
        if barline:
            self._close(barline)

    def _close(self, barline: Barline) -> None:
        """Add a bar line after what has been read. Bar lines without notes between them are merged
        into one."""
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
        """Read a broken rhythm, such as the > in A>B."""
        last = self._last
        if len(token.text) > MOST_BROKEN:
            self._complain(
                token.place,
                f"{shown(token.text)} is not possible.",
                f'Write at most {MOST_BROKEN} ">" or "<" between two notes.',
            )
            return
        directly_after_note = last and self._piece and self._piece.events[-1:] == [last]
        if not last or not directly_after_note or self._rhythm.broken or last.tie:
            self._complain(
                token.place,
                f"{shown(token.text)} does not stand between two notes of one bar.",
                'Write "A>B" to make the first note longer and the second shorter, or "A<B" for '
                "the opposite.",
            )
            return
        self._rhythm.break_rhythm(token, last)

    def _tie(self, token: Token) -> None:
        last = self._last
        if last is None or last.pitch is None or last.tie:
            self._complain(
                token.place,
                'There is no note before this "-" that it could tie.',
                'Write "-" directly after a note, then the same note again, as in "C-C".',
            )
            return
        last.tie = token.place

    def _decorate(self, token: Token) -> None:
        error = unsupported_decoration(token)
        if error:
            self.problems.append(error)
            return
        name = decoration_name(token)
        if belongs_to_note(name):
            self._pending.decorate(token)
        else:
            self._events(token.place).append(Mark(token.place, name))

    @property
    def _last(self) -> WrittenNote | None:
        """The note or rest that was read last."""
        return self.written.notes[-1] if self.written.notes else None

    @property
    def _tied(self) -> Sequence[Pitch]:
        """The pitches of the last note, if it is tied to the next note; otherwise none."""
        last = self._last
        return (last.pitch, *last.below) if last and last.tie and last.pitch else ()

    def _events(self, place: Place) -> list[WrittenNote | Mark]:
        """What has been read since the last bar line, as a list to add to. If nothing has, the
        piece of music begins at `place`."""
        if self._piece is None:
            self._piece = Piece(place, part=self._part)
        return self._piece.events

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(place, "notation-token", message, hint))
