"""Turns the tokens of one line of `degrees` notation into written notes in bars, with long notes,
breaths, glides and dynamics.

A token is a sign of the notation, such as a beat, which is divided into equal *shares* (a note, a
rest, or "-", which prolongs the note before). The lengths of bars are not checked here.
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

    place: where it begins.
    bars: its bars, each as long as the notes in it.
    notes: all notes and rests of the bars, in order.
    unreadable: the indexes of the bars with a sign that could not be read.
    tail: marks after the last bar line.
    hairpin: a hairpin that has not ended at the end of the line.
    open_at: the place of three dots at the end, which prolong the last note to the end of the
        block.
    """

    place: Place
    bars: list[Piece] = field(default_factory=list)
    notes: list[WrittenNote] = field(default_factory=list)
    unreadable: set[int] = field(default_factory=set)
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
    """Make the melody of the line at `place` from its tokens. `beat` is the length of a beat in
    quarters. Returns the melody and the problems."""
    reader = _MelodyReader(place, beat, mode)
    for token in tokens:
        reader.take(token)
    reader.finish()
    return reader.melody, reader.problems


def prolonged(note: WrittenNote, duration: Fraction, bar: int) -> WrittenNote:
    """A note that continues `note` (a note or rest) for `duration` quarters, in the bar with the
    index `bar`. The new note is tied to `note`. If `note` had a tie to the note after it, the new
    note takes over that tie."""
    more = WrittenNote(note.place, note.pitch, duration, bar, note.tie, tied=True)
    more.spoken, note.tie = note.spoken, note.place
    return more


@lru_cache(maxsize=500)
def _written(degree: Degree, mode: ModeName) -> Pitch:
    """A degree as a written pitch in the key of C, the default tonic of `Key`."""
    return degree.in_key(Key().tonic, mode)


class _MelodyReader:
    """Reads the tokens of a line one after another into `melody`, and collects `problems`."""

    def __init__(self, place: Place, beat: Fraction, mode: ModeName) -> None:
        self.melody = Melody(place)
        self.problems: list[Problem] = []
        self._beat = beat
        self._mode = mode
        self._bar: Piece | None = None  # what has been read since the last bar line
        self._offset = Fraction(0)  # the quarters since the bar began
        self._kind = ""  # the kind of the share with which the last note began
        self._gliding = False  # whether the last note has a glide
        self._glide_place: Place | None = None  # the place of a glide that has not arrived yet
        self._breath: BreathMark | None = None  # a breath since the last note
        # the open hairpin: when it began (`_now` at that moment), and its mark
        self._hairpin: tuple[tuple[int, Fraction], Mark] | None = None

    @property
    def _now(self) -> tuple[int, Fraction]:
        """The index of the bar, and the quarters since it began."""
        return len(self.melody.bars), self._offset

    @property
    def _last(self) -> WrittenNote | None:
        return self.melody.notes[-1] if self.melody.notes else None

    def take(self, token: Token) -> None:
        """Read the next token."""
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
                'Write degrees 1 to 7, or "0 - - -" for a bar of rest. Delete the line if the '
                "voice is silent in the whole block.",
                "notation-line",
            )

    def _share(self, share: Share, duration: Fraction, token: Place, bar: Piece) -> None:
        """Add a share that lasts `duration` quarters to `bar`. `token` is the place of its beat."""
        number = len(self.melody.bars)
        self._offset += duration
        if share.kind == "unread":
            self.melody.unreadable.add(number)
        if share.kind == "prolonged" and self._can_prolong(token, "-"):
            glides = share.glides and self._can_glide(token)
            note = prolonged(self.melody.notes[-1], duration, number)
        else:
            # A "-" that cannot prolong a note has been reported, and counts as unreadable.
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
        """Whether `sign` ("-" or "...") at `token` can prolong the last note or rest. If not, this
        is reported."""
        if self._last is None:
            self._complain(
                token,
                f'There is no note before this "{sign}" that it could prolong.',
                'Begin with a note, or with "0" for a rest. A note cannot continue from one block '
                "to the next.",
            )
            return False
        if self._breath and self._breath.kind == "breath":
            self._complain(
                token,
                f'This "{sign}" stands after a breath, which ended the note.',
                'Repeat the note after "v", or move "v" to the end of the note. A staggered '
                'breath, "v?", may stand inside a long note.',
            )
            return False
        return True

    def _can_glide(self, token: Place) -> bool:
        """Whether a glide can start in the middle of the last note. If not, this is reported at
        `token`."""
        if self._kind in ("rest", "spoken"):
            self._complain(
                token,
                f"A {'rest' if self._kind == 'rest' else 'spoken beat'} cannot glide.",
                'Write "~" after a sung note, or after a "-" that prolongs one.',
            )
            return False
        if self._gliding:
            self._complain(
                token,
                "This note is gliding already.",
                'Delete every "~" of the note except the one where the glide starts.',
            )
            return False
        return True

    def _breathe(self, mark: BreathMark) -> None:
        """Add a breath after the last note."""
        last = self._last
        if last is None:
            self._complain(
                mark.place,
                "This breath comes before the first note, so it ends no phrase.",
                "Delete this breath; singers breathe before they begin anyway.",
            )
        elif self._breath:
            self._complain(
                mark.place, "There are two breaths in a row.", 'Delete one of them: "v" or "v?".'
            )
        else:
            self._end_glide("a breath")
            last.breath, last.staggered = mark.place, mark.kind == "staggered"
        self._breath = mark

    def _mark(self, mark: DynamicMark, bar: Piece) -> None:
        """Add a dynamic or the start of a hairpin to `bar`. Either ends the hairpin before it."""
        self._end_hairpin(self._now)
        begins = mark.sign in HAIRPINS
        written = Mark(mark.place, f"{mark.sign}(" if begins else mark.sign)
        bar.events.append(written)
        if begins:
            self._hairpin = (self._now, written)

    def _end_hairpin(self, now: tuple[int, Fraction]) -> None:
        """End an open hairpin at the moment `now`. If it has just begun, this is reported."""
        if self._hairpin and not self.melody.open_at:
            start, mark = self._hairpin
            bar, offset = start
            bars = self.melody.bars
            at_bar_end = bar < len(bars) and offset == bars[bar].length
            if start == now or (at_bar_end and now == (bar + 1, Fraction(0))):
                self._complain(
                    mark.place,
                    "This hairpin ends where it begins.",
                    'Write "<" or ">" before the note where it begins; it ends at the next '
                    "dynamic.",
                )
        self._hairpin = None

    def _prolong_to_the_end(self, token: ToTheEnd) -> None:
        if self._can_prolong(token.place, "..."):
            self._end_glide("the three dots")
            self._breath = None
        self.melody.open_at = token.place

    def _not_last(self, place: Place) -> None:
        """Report three dots at `place` that are not at the end of the line. The lengths of the
        present bar and of the one before are then unknown."""
        self._complain(
            place,
            'Something follows the "...", which prolongs a note to the end of the block.',
            'Write "-" for each further beat instead of the "...", or move what follows to a new '
            "block, after an empty line.",
        )
        self.melody.open_at = None
        bars = len(self.melody.bars)
        self.melody.unreadable.update((bars - 1, bars))

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
                'Delete this "|": it is written only where a bar ends.',
            )
        else:
            self._complain(
                token.place,
                "This bar is empty.",
                'Write "0 - - -" for a bar of rest, or delete one of the bar lines.',
            )

    def _close_bar(self) -> None:
        if self._bar:
            self.melody.bars.append(self._bar)
        self._offset = Fraction(0)
        self._bar = None

    def _end_glide(self, stopped_by: str) -> None:
        """Report a glide that has not arrived at a note, if there is one."""
        if self._glide_place:
            self._complain(
                self._glide_place,
                f"This glide leads to {stopped_by}, not to a note.",
                'Write the note to which the voice glides directly after it, or delete the "~".',
            )
            self._glide_place = None

    def _complain(
        self, place: Place, message: str, hint: str, code: str = "notation-token"
    ) -> None:
        self.problems.append(Problem(place, code, message, hint))
