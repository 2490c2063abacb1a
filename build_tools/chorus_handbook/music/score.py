"""The score model: what is sung, by whom, relative to a tonic that is not yet chosen.

Every notation is read into these frozen dataclasses, and everything later (measures, engraving,
sound) reads only them. Pitches are degrees above the tonic, so one score serves every key.
Times are `Fraction`s of a quarter note from the start of the score.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from itertools import accumulate
from typing import Literal

from chorus_handbook.music.modes import MODES, ModeName
from chorus_handbook.pitch import NATURALS, Pitch
from chorus_handbook.problems import Place

#: The voice name of a line that the leader sings and the chorus answers; it has no range.
LEADER = "leader"


@dataclass(frozen=True, slots=True)
class Degree:
    """A pitch above the tonic: `steps` along the mode (0 is the tonic, 7 its octave, may be
    negative), `alter` in semitones away from the mode's own degree."""

    steps: int
    alter: int = 0

    def semitones(self, mode: str) -> int:
        """Semitones above the tonic."""
        start = MODES[mode].start
        octaves, step = divmod(start + self.steps, 7)
        return 12 * octaves + NATURALS[step] - NATURALS[start] + self.alter

    def in_key(self, tonic: Pitch, mode: str) -> Pitch:
        """The written pitch in the key on `tonic`, rightly spelled."""
        return tonic.moved(self.steps, self.semitones(mode))


MeterSign = Literal["common", "cut"]


@dataclass(frozen=True, slots=True)
class Meter:
    """`beats` of `unit` a bar; `beats` is 0 when the meter is free. `sign`: written as C or as C
    with a stroke, instead of in numbers."""

    beats: int = 4
    unit: int = 4
    sign: MeterSign | None = field(default=None, compare=False)

    @property
    def free(self) -> bool:
        return self.beats == 0

    @property
    def compound(self) -> bool:
        """6/8, 9/8 and 12/8: the beat is the dotted quarter."""
        return self.unit == 8 and self.beats in (6, 9, 12)

    @property
    def beat(self) -> Fraction:
        """One beat, in quarters; tempo counts these."""
        return _quarters(3, 2) if self.compound else _quarters(4, self.unit)

    @property
    def bar(self) -> Fraction:
        """One full bar, in quarters (0 when free)."""
        return _quarters(4 * self.beats, self.unit)

    def __str__(self) -> str:
        return "free" if self.free else f"{self.beats}/{self.unit}"


#: A length that is asked for again and again.
_quarters = cache(Fraction)

FREE = Meter(0, 4)


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time, in quarters."""

    onset: Fraction
    duration: Fraction

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Syllable:
    """One sung syllable. `joined`: the word goes on (a hyphen follows). `melisma`: how many
    further notes it is sung on (drawn with an extender line where the word ends with it)."""

    text: str
    joined: bool = False
    melisma: int = 0


SpokenHeight = Literal["middle", "high", "low"]
Breath = Literal["breath", "staggered"]
#: How a note is struck or left: with weight, with much weight, short, or for its full length.
Accent = Literal["accent", "marcato", "staccato", "tenuto"]


@dataclass(frozen=True, slots=True)
class Note:
    """One attack and all that is tied to it.

    Either `degree` (sung) or `spoken` is set. `syllables` has one item a verse, None where no new
    syllable begins. `glide_at` is the offset from the onset at which the voice starts to glide to
    the next note. `easy`: sung only as far as is easy, never counted as out of range. `fermatas`
    are spans of the score (each sounds twice its length for everyone). `breath` follows the note;
    `staggered` are the offsets of staggered breaths inside it. `below` are further notes, downward,
    where the singers of one voice divide: they sound as long as `degree`, which is the highest.
    `graces` are quick notes before the beat; they take no time and count in no measure. `drawn` is
    the id of the written note, where that is not the note's own: a repeat sounds twice and may be
    drawn once.
    """

    id: str
    onset: Fraction
    duration: Fraction
    degree: Degree | None = None
    spoken: SpokenHeight | None = None
    syllables: tuple[Syllable | None, ...] = ()
    glide_at: Fraction | None = None
    easy: bool = False
    fermatas: tuple[Span, ...] = ()
    breath: Breath | None = None
    staggered: tuple[Fraction, ...] = ()
    below: tuple[Degree, ...] = ()
    graces: tuple[Degree, ...] = ()
    accents: tuple[Accent, ...] = ()
    drawn: str | None = None
    place: Place = field(default=Place(""), compare=False, repr=False)

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Rest:
    """Silence that was written (or that fills what a voice does not sing). `hidden`: it takes room
    in the drawing, but no sign."""

    onset: Fraction
    duration: Fraction
    fermatas: tuple[Span, ...] = ()
    breath: Breath | None = None
    hidden: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


#: Dynamics that a score may hold.
DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff")


@dataclass(frozen=True, slots=True)
class Dynamic:
    """A dynamic at a moment ("mf"), or a hairpin ("<", ">") that runs until `end`."""

    onset: Fraction
    sign: str
    end: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """What one voice sings, from the first moment of the score to the last, without gaps.

    `octave` moves the written degrees (-1: an octave lower). `shares` names all voices (this one
    included, in the chorus's order) that sing the same written line from start to end.
    `same_staff`: the author joined them as "A+B". `slurs` run from the onset of their first note to
    the end of their last.
    """

    voice: str
    octave: int
    events: tuple[Note | Rest, ...]
    dynamics: tuple[Dynamic, ...] = ()
    shares: tuple[str, ...] = ()
    same_staff: bool = False
    slurs: tuple[Span, ...] = ()

    @property
    def notes(self) -> tuple[Note, ...]:
        return tuple(event for event in self.events if isinstance(event, Note))

    @property
    def line(self) -> tuple[object, ...]:
        """What is sung and when: equal for voices that sing one line, in whatever octave."""
        return tuple((n.onset, n.end, n.degree, n.below, n.spoken) for n in self.notes)

    @property
    def sung(self) -> tuple[Note, ...]:
        """The notes with a pitch."""
        return tuple(note for note in self.notes if note.degree is not None)


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar as the author wrote it, before it was checked."""

    place: Place
    length: Fraction


@dataclass(frozen=True, slots=True)
class Verse:
    """One line of words: how many syllable slots it fills, and where a misfit shows."""

    place: Place
    slots: int
    surplus: Place | None = None


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """A line of notation as written, kept for the checks: who sings it, its bars and words."""

    place: Place
    voices: tuple[str, ...]
    bars: tuple[WrittenBar, ...]
    length: Fraction
    notes: int
    verses: tuple[Verse, ...]


@dataclass(frozen=True, slots=True)
class WrittenBlock:
    """Lines that sound together, from `onset` (in quarters) to the next block."""

    lines: tuple[WrittenLine, ...]
    onset: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class ScoreFile:
    """A file from a notation editor, ready for the engraver: partwise MusicXML that was checked.
    The ids of its notes are those of the score's notes (`Note.drawn` where a repeat draws a note
    once and sings it twice), with "-2", "-3" ... for what is tied to them; notes that nobody's id
    stands for, such as grace notes, have none. `tonic` is the one it is written in, from C4 to B4.
    `singers` has a pair for each part: its id, and who sings each of its lines, from the top.
    """

    xml: str
    tonic: Pitch
    singers: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class RoundEntry:
    """Voices of a round that begin its line together, so many quarters after the first."""

    voices: tuple[str, ...]
    onset: Fraction


@dataclass(frozen=True, slots=True)
class Score:
    """A whole exercise, in no particular key.

    `bar_starts` are the moments at which bars begin (the first is 0), `length` the end of the
    last. `pickup` is the length of the incomplete first bar, 0 when there is none. `fermatas` are
    those of all voices, merged: during them everyone waits, at half speed. `blocks` is the text
    as written, for the checks. `parts` stand in the chorus's order, the leader first. `file` is set
    where the author's own engraving is kept.

    A round is a score of all that its voices sing, and its `line` is the score as it was written:
    one line for all of them, with the `entries` of the round, in the order in which they sing.
    """

    meter: Meter
    mode: ModeName
    pickup: Fraction
    length: Fraction
    bar_starts: tuple[Fraction, ...]
    parts: tuple[Part, ...]
    fermatas: tuple[Span, ...] = ()
    blocks: tuple[WrittenBlock, ...] = ()
    file: ScoreFile | None = None
    entries: tuple[RoundEntry, ...] = ()
    line: Score | None = None

    @property
    def written(self) -> Score:
        """The score as the author wrote it, which is drawn and proofread: of a round its line."""
        return self.line or self

    @property
    def verses(self) -> int:
        """How many verses (lines of words) there are: those of the voice that has the most."""
        return max((len(n.syllables) for p in self.parts for n in p.notes), default=0)

    def sounding(self) -> Callable[[Fraction], Fraction]:
        """From a written moment to that at which it sounds, in quarters; fermatas count twice."""
        starts = [fermata.onset for fermata in self.fermatas]
        waited = list(
            accumulate((fermata.duration for fermata in self.fermatas), initial=Fraction(0))
        )

        def sounds(moment: Fraction) -> Fraction:
            begun = bisect_right(starts, moment)
            ahead = max(self.fermatas[begun - 1].end - moment, Fraction(0)) if begun else 0
            return moment + waited[begun] - ahead

        return sounds


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The stretches of time covered by any of the spans, in order."""
    union: list[Span] = []
    for span in sorted(spans, key=lambda span: span.onset):
        if union and span.onset <= union[-1].end:
            end = max(union[-1].end, span.end)
            union[-1] = Span(union[-1].onset, end - union[-1].onset)
        else:
            union.append(span)
    return tuple(union)
