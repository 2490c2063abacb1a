"""Turns the signs of one line of `degrees` into written notes in bars, with held notes, breaths and
glides.

The lengths of bars are not checked here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from chorus_handbook.music.degrees.token_errors import HAIRPINS
from chorus_handbook.music.degrees.tokens import (
    BarLine,
    Beat,
    BreathMark,
    DynamicMark,
    Share,
    Token,
    ToTheEnd,
)
from chorus_handbook.music.modes import ModeName
from chorus_handbook.music.score import Degree
from chorus_handbook.music.written import Key, Mark, Piece, WrittenNote
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem


@dataclass(slots=True)
class Melody:
    """One line as written.

    bars: as long as their notes. `unsure` are those with a sign that could not be read.
    tail: marks after the last bar line. `hairpin`: one that is still open at the end.
    open_at: the place of three dots at the end, which hold the last note to the end of the block.
    """

    place: Place
    bars: list[Piece] = field(default_factory=list)
    notes: list[WrittenNote] = field(default_factory=list)
    unsure: set[int] = field(default_factory=set)
    tail: list[WrittenNote | Mark] = field(default_factory=list)
    hairpin: Mark | None = None
    open_at: Place | None = None

    @property
    def attacks(self) -> list[WrittenNote]:
        """The notes that take a syllable."""
        return [note for note in self.notes if not note.silent and not note.tied]


def read_melody(
    tokens: Sequence[Token], place: Place, beat: Fraction, mode: ModeName
) -> tuple[Melody, list[Problem]]:
    """Join the tokens of the line at `place`; `beat` is its length in quarters."""
    reader = _MelodyReader(place, beat, mode)
    for token in tokens:
        reader.take(token)
    reader.finish()
    return reader.melody, reader.problems


def prolonged(note: WrittenNote, duration: Fraction, bar: int) -> WrittenNote:
    """A note that continues `note` (a note or rest) for `duration` quarters, and is tied to it. If
    `note` was tied to another one, the new note is now."""
    more = WrittenNote(note.place, note.pitch, duration, bar, note.tie, tied=True)
    more.spoken, note.tie = note.spoken, note.place
    return more


@lru_cache(maxsize=500)
def _written(degree: Degree, mode: ModeName) -> Pitch:
    """A degree as a written pitch in the key of C, the default tonic of `Key`."""
    return degree.in_key(Key().tonic, mode)


class _MelodyReader:
    def __init__(self, place: Place, beat: Fraction, mode: ModeName) -> None:
        self.melody = Melody(place)
        self.problems: list[Problem] = []
        self._beat = beat
        self._mode = mode
        self._bar: Piece | None = None
        self._offset = Fraction(0)  # since the bar began
        self._kind = ""  # the kind of the share with which the last note began
        self._gliding = False  # whether the last note has a glide
        self._glide_place: Place | None = None  # the place of a glide that has not arrived yet
        self._breath: BreathMark | None = None  # a breath since the last note
        self._hairpin: tuple[tuple[int, Fraction], Mark] | None = None  # its beginning (`_now`)

    @property
    def _now(self) -> tuple[int, Fraction]:
        """The index of the bar, and the quarters since it began."""
        return len(self.melody.bars), self._offset

    @property
    def _last(self) -> WrittenNote | None:
        return self.melody.notes[-1] if self.melody.notes else None

    def take(self, token: Token) -> None:
        if self.melody.open_at and not isinstance(token, BarLine):
            self._not_last(self.melody.open_at)
        if isinstance(token, BarLine):
            self._bar_line(token)
            return
        self._bar = self._bar or Piece(token.place)
        if isinstance(token, Beat):
            duration = self._beat / len(token.shares)
            for share in token.shares:
                self._share(share, duration, token.place, self._bar)
        elif isinstance(token, BreathMark):
            self._breathe(token)
        elif isinstance(token, DynamicMark):
            self._mark(token, self._bar)
        else:
            self._prolong_to_the_end(token)

    def finish(self) -> None:
        """End the line: close its last bar, and report what was left open."""
        if self._offset or self.melody.open_at:
            self._close_bar()
        self._end_glide("the end of the line")
        if self._hairpin:
            self.melody.hairpin = self._hairpin[1]
        self._end_hairpin((len(self.melody.bars), Fraction(0)))
        if self._bar:
            self.melody.tail = self._bar.events
        if not self.melody.notes and not self.problems:
            self._complain(
                self.melody.place,
                "This line has no notes.",
                "Write degrees 1 to 7, or 0 - - - for a bar of rest; leave out a voice that rests "
                "for the whole block.",
                "notation-line",
            )

    def _share(self, share: Share, duration: Fraction, token: Place, bar: Piece) -> None:
        number = len(self.melody.bars)
        self._offset += duration
        if share.kind == "unread":
            self.melody.unsure.add(number)
        if share.kind == "prolonged" and self._can_prolong(token, "-"):
            glides = share.glides and self._can_glide(token)
            note = prolonged(self.melody.notes[-1], duration, number)
        else:
            # A "-" without a note before it counts as unreadable.
            self._kind = "unread" if share.kind == "prolonged" else share.kind
            if self._kind in ("rest", "spoken"):
                self._end_glide("a rest" if self._kind == "rest" else "a spoken beat")
            self._gliding, self._glide_place = False, None
            pitch = _written(share.degree, self._mode) if share.degree else None
            note = WrittenNote(share.place, pitch, duration, number)
            note.spoken, note.easy = share.height, share.easy
            glides = share.glides and self._kind == "note"
        self._breath = None
        if glides:
            note.glide, self._gliding, self._glide_place = True, True, token
        note.fermata = share.fermata
        self.melody.notes.append(note)
        bar.events.append(note)

    def _can_prolong(self, token: Place, sign: str) -> bool:
        if self._last is None:
            self._complain(
                token,
                f"Nothing stands before this {sign} that it could hold.",
                "Begin with a note, or with 0 for a rest. A note cannot be tied over from the "
                "block before.",
            )
            return False
        if self._breath and self._breath.kind == "breath":
            self._complain(
                token,
                f"This {sign} stands after a breath, which ended the note.",
                "Repeat the note after v, or move v to the end of the note. A staggered breath, "
                "v?, may stand inside a long note.",
            )
            return False
        return True

    def _can_glide(self, token: Place) -> bool:
        if self._kind in ("rest", "spoken"):
            self._complain(
                token,
                f"A {'rest' if self._kind == 'rest' else 'spoken beat'} cannot glide.",
                "Write ~ after a sung note, or after a - that prolongs one.",
            )
            return False
        if self._gliding:
            self._complain(
                token,
                "This note is gliding already.",
                "Keep only the ~ where the glide starts.",
            )
            return False
        return True

    def _breathe(self, mark: BreathMark) -> None:
        last = self._last
        if last is None:
            self._complain(
                mark.place,
                "This breath comes before the first note, so it ends no phrase.",
                "Delete this breath; singers breathe before they begin anyway.",
            )
        elif self._breath:
            self._complain(
                mark.place, "There are two breaths in a row.", "Keep one of them: v or v?"
            )
        else:
            self._end_glide("a breath")
            last.breath, last.staggered = mark.place, mark.kind == "staggered"
        self._breath = mark

    def _mark(self, mark: DynamicMark, bar: Piece) -> None:
        self._end_hairpin(self._now)
        begins = mark.sign in HAIRPINS
        written = Mark(mark.place, f"{mark.sign}(" if begins else mark.sign)
        bar.events.append(written)
        if begins:
            self._hairpin = (self._now, written)

    def _end_hairpin(self, now: tuple[int, Fraction]) -> None:
        if self._hairpin and not self.melody.open_at:
            start, mark = self._hairpin
            bar, offset = start
            bars = self.melody.bars
            at_bar_end = bar < len(bars) and offset == bars[bar].length
            if start == now or (at_bar_end and now == (bar + 1, Fraction(0))):
                self._complain(
                    mark.place,
                    "This hairpin has no time to swell or fade in.",
                    "Write < or > before the note where it begins; it ends at the next dynamic.",
                )
        self._hairpin = None

    def _prolong_to_the_end(self, token: ToTheEnd) -> None:
        if self._can_prolong(token.place, "..."):
            self._end_glide("the three dots")
            self._breath = None
        self.melody.open_at = token.place

    def _not_last(self, place: Place) -> None:
        self._complain(
            place,
            "... comes last: it holds the sound before it to the end of the block.",
            "Begin the next part of the exercise after an empty line, or write - for each further "
            "beat instead of the three dots.",
        )
        self.melody.open_at = None
        bars = len(self.melody.bars)
        self.melody.unsure.update((bars - 1, bars))

    def _bar_line(self, token: BarLine) -> None:
        if self._offset or self.melody.open_at:
            if self.melody.open_at and self._bar is None:
                self._not_last(self.melody.open_at)
                return
            self._close_bar()
        elif not self.melody.bars:
            self._complain(
                token.place,
                "This bar line stands before the first note.",
                "Delete this |, and begin with a note: | is written only where a bar ends.",
            )
        else:
            self._complain(
                token.place,
                "This bar is empty.",
                "Write 0 - - - for a bar of rest, or delete one of the bar lines.",
            )

    def _close_bar(self) -> None:
        if self._bar:
            self.melody.bars.append(self._bar)
        self._offset = Fraction(0)
        self._bar = None

    def _end_glide(self, stopped_by: str) -> None:
        if self._glide_place:
            self._complain(
                self._glide_place,
                f"This glide runs into {stopped_by} and never arrives.",
                "Write the note it glides to straight after it, or delete the ~.",
            )
            self._glide_place = None

    def _complain(
        self, place: Place, message: str, hint: str, code: str = "notation-token"
    ) -> None:
        self.problems.append(Problem(place, code, message, hint))
