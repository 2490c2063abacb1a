"""The tokens of one line joined into sounds: what is prolonged, breathed, held and glided.

Moments are counted from the start of the bar they stand in, since it is not decided here when a
bar begins: in free meter lines wait for each other at every bar line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

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
from chorus_handbook.music.score import Breath, WrittenBar
from chorus_handbook.problems import Place, Problem


@dataclass(frozen=True, slots=True)
class Moment:
    """A time in a line: the bar, counted from 0, and the quarters since it began."""

    bar: int
    offset: Fraction


@dataclass(slots=True)
class Sound:
    """A note, spoken beat or rest with all that prolongs it. `share` is its first share, `glide`
    the moment at which it starts to glide; `holds` are the fermatas, `staggered` the breaths that
    singers take in turn while it lasts."""

    share: Share
    start: Moment
    end: Moment
    glide: Moment | None = None
    glide_place: Place | None = None
    holds: list[tuple[Moment, Moment]] = field(default_factory=list)
    staggered: list[Moment] = field(default_factory=list)
    breath: Breath | None = None

    @property
    def attack(self) -> bool:
        """Whether it is a note or a spoken beat."""
        return self.share.kind in ("note", "spoken")


@dataclass(slots=True)
class Melody:
    """One line as written. `bars` have their lengths as written, in quarters; `unsure` are those
    with a token that could not be read. `marks` are dynamics and hairpins. `open_at` is the place
    of the three dots that prolong the last sound to the end of the block."""

    place: Place
    bars: list[WrittenBar] = field(default_factory=list)
    unsure: set[int] = field(default_factory=set)
    sounds: list[Sound] = field(default_factory=list)
    marks: list[tuple[Moment, str]] = field(default_factory=list)
    open_at: Place | None = None

    @property
    def attacks(self) -> list[Sound]:
        """The sounds that take a syllable."""
        return [sound for sound in self.sounds if sound.attack]


def read_melody(
    tokens: Sequence[Token], place: Place, beat: Fraction
) -> tuple[Melody, list[Problem]]:
    """Join the tokens of the line at `place`; `beat` is its length in quarters."""
    reader = _Reader(place, beat)
    for token in tokens:
        reader.take(token)
    reader.finish()
    return reader.melody, reader.problems


class _Reader:
    def __init__(self, place: Place, beat: Fraction) -> None:
        self.melody = Melody(place)
        self.problems: list[Problem] = []
        self._beat = beat
        self._offset = Fraction(0)
        self._bar_place: Place | None = None  # the first token of the bar
        self._breath: BreathMark | None = None  # a breath since the last sound
        self._hairpin: tuple[Moment, Place] | None = None

    @property
    def _now(self) -> Moment:
        return Moment(len(self.melody.bars), self._offset)

    @property
    def _last(self) -> Sound | None:
        return self.melody.sounds[-1] if self.melody.sounds else None

    def take(self, token: Token) -> None:
        if self.melody.open_at and not isinstance(token, BarLine):
            self._not_last(self.melody.open_at)
        if isinstance(token, BarLine):
            self._bar_line(token)
            return
        self._bar_place = self._bar_place or token.place
        if isinstance(token, Beat):
            duration = self._beat / len(token.shares)
            for share in token.shares:
                self._share(share, duration, token.place)
        elif isinstance(token, BreathMark):
            self._breathe(token)
        elif isinstance(token, DynamicMark):
            self._mark(token)
        else:
            self._prolong_to_the_end(token)

    def finish(self) -> None:
        """Close the last bar and look at what was left open."""
        if self._offset or self.melody.open_at:
            self._close_bar()
        self._end_glide("the end of the line")
        self._end_hairpin(Moment(len(self.melody.bars), Fraction(0)))
        if not self.melody.sounds and not self.problems:
            self._complain(
                self.melody.place,
                "This line has no notes.",
                "Write degrees 1 to 7, or 0 - - - for a bar of rest; leave out a voice that rests "
                "for the whole block.",
                "notation-line",
            )

    def _share(self, share: Share, duration: Fraction, token: Place) -> None:
        start = self._now
        self._offset += duration
        end = self._now
        if share.kind == "unread":
            self.melody.unsure.add(start.bar)
        if share.kind == "prolonged" and self._can_prolong(token, "-"):
            self._prolong(share, start, end, token)
            return
        if share.kind == "prolonged":  # what it should prolong is missing
            share = Share(share.place, "unread")
        if share.kind in ("rest", "spoken"):
            self._end_glide("a rest" if share.kind == "rest" else "a spoken beat")
        sound = Sound(share, start, end)
        self.melody.sounds.append(sound)
        self._breath = None
        self._add_marks(sound, share, start, token)

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

    def _prolong(self, share: Share, start: Moment, end: Moment, token: Place) -> None:
        sound = self.melody.sounds[-1]
        sound.end = end
        self._breathe_inside(sound, start)
        if share.glides and sound.share.kind in ("rest", "spoken"):
            self._complain(
                token,
                f"A {'rest' if sound.share.kind == 'rest' else 'spoken beat'} cannot glide.",
                "Write ~ after a sung note, or after a - that prolongs one.",
            )
            return
        if share.glides and sound.glide:
            self._complain(
                token,
                "This note is gliding already.",
                "Keep only the ~ where the glide starts.",
            )
            return
        self._add_marks(sound, share, start, token)

    def _breathe_inside(self, sound: Sound, now: Moment) -> None:
        """A staggered breath that turns out to stand inside a sound, not after it."""
        if self._breath and sound.attack:
            sound.staggered.append(now)
            sound.breath = None
        self._breath = None

    def _add_marks(self, sound: Sound, share: Share, start: Moment, token: Place) -> None:
        """Add the marks of the share that begins at `start` and is now the sound's last."""
        if share.glides:
            sound.glide, sound.glide_place = start, token
        if share.holds:
            sound.holds.append((start, sound.end))

    def _breathe(self, mark: BreathMark) -> None:
        last = self._last
        if last is None:
            self._complain(
                mark.place,
                "A breath at the very start ends no phrase.",
                "Delete it; the singers breathe before they begin.",
            )
        elif self._breath:
            self._complain(
                mark.place, "Two breaths stand side by side.", "Keep one of them: v or v?"
            )
        else:
            self._end_glide("a breath")
            last.breath = mark.kind
        self._breath = mark

    def _mark(self, mark: DynamicMark) -> None:
        self._end_hairpin(self._now)
        self.melody.marks.append((self._now, mark.sign))
        if mark.sign in HAIRPINS:
            self._hairpin = (self._now, mark.place)

    def _end_hairpin(self, now: Moment) -> None:
        if self._hairpin and not self.melody.open_at:
            start, place = self._hairpin
            bars = self.melody.bars
            spent = start.bar < len(bars) and start.offset == bars[start.bar].length
            if start == now or (spent and now == Moment(start.bar + 1, Fraction(0))):
                self._complain(
                    place,
                    "This hairpin has no time to swell or fade in.",
                    "Write < or > before the note at which it begins; it runs to the next dynamic.",
                )
        self._hairpin = None

    def _prolong_to_the_end(self, token: ToTheEnd) -> None:
        if self._can_prolong(token.place, "..."):
            self._end_glide("the three dots")
            self._breathe_inside(self.melody.sounds[-1], self._now)
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
            if self.melody.open_at and self._bar_place is None:
                self._not_last(self.melody.open_at)
                return
            self._close_bar()
        elif not self.melody.bars:
            self._complain(
                token.place,
                "This bar line stands before the first note.",
                "Begin with a note; | stands only where a bar ends.",
            )
        else:
            self._complain(
                token.place,
                "This bar is empty.",
                "Write 0 - - - for a bar of rest, or delete one of the bar lines.",
            )

    def _close_bar(self) -> None:
        if self._bar_place:
            self.melody.bars.append(WrittenBar(self._bar_place, self._offset))
        self._offset = Fraction(0)
        self._bar_place = None

    def _end_glide(self, stopped_by: str) -> None:
        last = self._last
        if last and last.glide_place:
            self._complain(
                last.glide_place,
                f"This glide runs into {stopped_by} and never arrives.",
                "Write the note it glides to straight after it, or delete the ~.",
            )
            last.glide_place = None

    def _complain(
        self, place: Place, message: str, hint: str, code: str = "notation-token"
    ) -> None:
        self.problems.append(Problem(place, code, message, hint))
