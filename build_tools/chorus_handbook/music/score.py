"""The types of a score: what is sung and by whom, in no particular key.

Every notation is read into a `Score`; measuring, engraving and sound use nothing else. Pitches are
degrees of a scale, so that one score serves every key. Times are exact fractions, in quarter notes
from the start of the score.
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

#: The name of the voice of the leader, whom the chorus answers. No range is known for it.
LEADER = "leader"


@dataclass(frozen=True, slots=True)
class Degree:
    """A pitch relative to the tonic: `steps` of the scale above it (0 is the tonic, 7 its octave;
    negative below), and `alter`, the semitones by which it is raised (negative: lowered)."""

    steps: int
    alter: int = 0

    def semitones(self, mode: str) -> int:
        """The semitones above the tonic in this mode."""
        start = MODES[mode].start
        octaves, step = divmod(start + self.steps, 7)
        return 12 * octaves + NATURALS[step] - NATURALS[start] + self.alter

    def in_key(self, tonic: Pitch, mode: str) -> Pitch:
        """The written pitch in the key on `tonic`, correctly spelled."""
        return tonic.moved(self.steps, self.semitones(mode))


MeterSign = Literal["common", "cut"]


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter such as 3/4: in a bar there are 3 `beats`, each a quarter (`unit` 4). In free meter
    `beats` is 0. `sign` is set when the meter is written as C ("common") or as C with a stroke
    ("cut")."""

    beats: int = 4
    unit: int = 4
    sign: MeterSign | None = field(default=None, compare=False)

    @property
    def free(self) -> bool:
        return self.beats == 0

    @property
    def compound(self) -> bool:
        """Whether it is 6/8, 9/8 or 12/8, whose beat is a dotted quarter."""
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


#: Lengths are cached, because the same few are computed very often.
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
    """One sung syllable. `joined` says whether a hyphen follows, because the word goes on;
    `melisma` counts the notes after its first on which it is still sung."""

    text: str
    joined: bool = False
    melisma: int = 0


SpokenHeight = Literal["middle", "high", "low"]
Breath = Literal["breath", "staggered"]
#: How a note is sung. An "accent" is a stress, "marcato" a stronger one; "staccato" is short,
#: "tenuto" lasts for the full length of the note.
Accent = Literal["accent", "marcato", "staccato", "tenuto"]


@dataclass(frozen=True, slots=True)
class Note:
    """A sung or spoken note, with everything that is tied to it.

    Times are in quarters from the start of the score, unless noted.

    degree: its pitch, the highest if the voice divides. For a spoken note it is None and `spoken`
        is set.
    below: the other pitches, from high to low, when the singers of the voice divide.
    syllables: one for each verse; None when no new syllable begins.
    glide_at: how long after its onset the voice starts to glide to the next note; None without a
        glide.
    easy: whether singers go towards it only as far as is easy, so that it is never out of range.
    fermatas: spans of the score that last twice as long for everyone.
    breath: a breath after the note ("staggered" when the singers take it at different moments).
    staggered: the moments of staggered breaths within the note, counted from its onset.
    accents: how it is stressed or shortened.
    graces: quick notes before the beat, which take no time.
    drawn: the id that the note has in the drawing, if it is not `id`. Notes of a repeat, for
        example, are sung several times but drawn once.
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
    """A rest, which the author wrote or which was added where a voice does not sing. A `hidden`
    rest takes up room in the drawing but is not drawn."""

    onset: Fraction
    duration: Fraction
    fermatas: tuple[Span, ...] = ()
    breath: Breath | None = None
    hidden: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


#: The dynamics that a score may have.
DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff")


@dataclass(frozen=True, slots=True)
class Dynamic:
    """A dynamic at a moment ("mf"), or a hairpin ("<", ">") that runs until `end`."""

    onset: Fraction
    sign: str
    end: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """What one voice sings.

    octave: by how many octaves it sings higher than the degrees (-1: an octave lower).
    events: its notes and rests from the start to the end of the score, without gaps.
    shares: all voices that sing the same written line, this one included, in score order.
    same_staff: whether the author joined these voices as "A+B".
    slurs: each from the start of its first note to the end of its last.
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
        """A value that is equal for parts with the same notes, even in different octaves."""
        return tuple((n.onset, n.end, n.degree, n.below, n.spoken) for n in self.notes)

    @property
    def sung(self) -> tuple[Note, ...]:
        """The notes with a pitch."""
        return tuple(note for note in self.notes if note.degree is not None)


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """One bar of a `WrittenLine`. Its length, in quarters, need not be that of the meter."""

    place: Place
    length: Fraction


@dataclass(frozen=True, slots=True)
class Verse:
    """One line of lyrics. `slots` counts the notes for which it has a syllable or sign; `surplus`
    is the place of the first syllable or sign for which there is no note, if any."""

    place: Place
    slots: int
    surplus: Place | None = None


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """One line of the author's notation and the voices that sing it, for the checks in `claims/`.
    `length` is in quarters; `notes` is the number of notes that take a syllable."""

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
    """A checked MusicXML file (partwise), ready for the engraver.

    xml: its text. Its notes have the ids of the score's notes, with "-2", "-3" and so on for notes
        that are tied to them. Notes that are drawn once but sung twice have the id `Note.drawn`.
    tonic: the tonic, from C4 to B4, of the key that it is written in.
    singers: for each part, its id and the singers of each of its lines, from the top.
    """

    xml: str
    tonic: Pitch
    singers: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class RoundEntry:
    """Voices of a round that begin its line together, `onset` quarters after the first entry."""

    voices: tuple[str, ...]
    onset: Fraction


@dataclass(frozen=True, slots=True)
class Score:
    """A whole exercise, in no particular key. Times are in quarters.

    pickup: the length of an incomplete first bar; 0 without one.
    length: the length of the whole, with repeats written out.
    bar_starts: the moments at which bars begin; the first is 0.
    parts: one for each voice, the leader first, then in score order.
    fermatas: the spans with a fermata in any voice; during them all sing at half speed.
    blocks: the notation as its author wrote it, for the checks in `claims/`.
    file: the MusicXML file, if the music comes from one; it is drawn as its author engraved it.
    entries: set only in the `line` of a round: which voices begin the line, and when.
    line: for a round, the score of its one written line, while this score has everything that is
        sung.
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
        """The score that is drawn and checked: for a round its one line, else the score itself."""
        return self.line or self

    @property
    def verses(self) -> int:
        """The number of verses (lines of lyrics) of the voice that has the most."""
        return max((len(n.syllables) for p in self.parts for n in p.notes), default=0)

    def sounding(self) -> Callable[[Fraction], Fraction]:
        """A function that turns a written moment into the one at which it sounds, both in quarters:
        fermatas last twice as long as written."""
        starts = [fermata.onset for fermata in self.fermatas]
        # by how much everything is late after each number of fermatas
        delays = list(
            accumulate((fermata.duration for fermata in self.fermatas), initial=Fraction(0))
        )

        def sounds(moment: Fraction) -> Fraction:
            begun = bisect_right(starts, moment)
            # Inside a fermata, the part of it that is still to come has not delayed anything yet.
            to_come = max(self.fermatas[begun - 1].end - moment, Fraction(0)) if begun else 0
            return moment + delays[begun] - to_come

        return sounds


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The spans of time that are covered by any of `spans`, in order and without overlaps."""
    union: list[Span] = []
    for span in sorted(spans, key=lambda span: span.onset):
        if union and span.onset <= union[-1].end:
            end = max(union[-1].end, span.end)
            union[-1] = Span(union[-1].onset, end - union[-1].onset)
        else:
            union.append(span)
    return tuple(union)
