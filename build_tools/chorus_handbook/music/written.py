"""The types of music as it is written, before repeats are written out.

The readers of all notations produce a `Key` and `WrittenVoice`s: notes, marks such as dynamics, and
bar lines. `ensemble` makes a `Score` from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType

from chorus_handbook.music.modes import ModeName
from chorus_handbook.music.score import Accent, Degree, SpokenHeight, Syllable
from chorus_handbook.pitch import Pitch, interval_between
from chorus_handbook.problems import Place

#: The written tonic is taken in the octave from C4 to B4: it is the one that `keys` names.
REFERENCE_OCTAVE = 4
_C = Pitch(0, 0, REFERENCE_OCTAVE)


@dataclass(frozen=True, slots=True)
class Key:
    """The key of written notes. `tonic` is from C4 to B4. `altered` has, by step above C (0 to 6),
    the semitones by which the key signature alters it."""

    tonic: Pitch = _C
    mode: ModeName = "major"
    altered: Mapping[int, int] = field(default_factory=lambda: MappingProxyType({}))

    def degree(self, pitch: Pitch, octave: int) -> Degree:
        """The degree that sounds `pitch` in a part moved by `octave`, in the key as written."""
        tonic = Pitch(self.tonic.step, self.tonic.alter, self.tonic.octave + octave)
        steps, semitones = interval_between(tonic, pitch)
        return Degree(steps, semitones - Degree(steps).semitones(self.mode))


@dataclass(slots=True, eq=False)
class WrittenNote:
    """One written note; a rest if it has neither `pitch` nor `spoken`.

    pitch: the highest pitch. `below`: further pitches from high to low, when the voice divides.
    tie: the place of the tie to the next note. `tied`: it is the second part of a note that was
        divided. `loose`: the tie counts only for some times of a repeat.
    breath: the place of a breath after it. `staggered`: not everyone breathes at the same time.
    words: one syllable for each verse.
    graces: quick notes before it.
    slurs_begin, slurs_end: how many slurs begin and end on it; those that end began on earlier
        notes.
    glide: the voice glides to the next note. `easy`: sung only as far as is easy.
    hidden: a rest that is not drawn.
    id: of the note in a MusicXML file that will be drawn.
    """

    place: Place
    pitch: Pitch | None
    duration: Fraction
    piece: int
    tie: Place | None = None
    tied: bool = False
    loose: bool = False
    fermata: bool = False
    breath: Place | None = None
    words: list[Syllable | None] = field(default_factory=list)
    below: tuple[Pitch, ...] = ()
    graces: tuple[Pitch, ...] = ()
    accents: tuple[Accent, ...] = ()
    slurs_begin: int = 0
    slurs_end: int = 0
    glide: bool = False
    easy: bool = False
    staggered: bool = False
    spoken: SpokenHeight | None = None
    id: str = ""
    hidden: bool = False

    @property
    def silent(self) -> bool:
        """Whether it is a rest."""
        return self.pitch is None and self.spoken is None

    def sounds_like(self, other: WrittenNote) -> bool:
        """Whether both have the same sound, so that a tie can join them: F sharp and G flat do."""
        return (self.sound, self.spoken) == (other.sound, other.spoken)

    @property
    def sound(self) -> tuple[int, ...]:
        """The MIDI numbers of its pitches, from high to low."""
        pitches = (self.pitch, *self.below) if self.pitch else ()
        return tuple(pitch.midi for pitch in pitches)


#: Where a hairpin begins and ends, as signs of a `Mark`.
HAIRPIN_SIGNS = frozenset({"<(", "<)", ">(", ">)"})


@dataclass(frozen=True, slots=True)
class Mark:
    """A dynamic, or where a hairpin begins ("<(") or ends ("<)")."""

    place: Place
    sign: str


@dataclass(slots=True)
class Barline:
    """A bar line, or several signs at one place.

    soft: not a plain bar line, so it may be inside a bar.
    times_back: how often the singers go back from here to where the repeat starts. `starts`: a
        repeat starts here.
    ending: the numbers of the times at which the music after it is sung. `over`: an ending ends
        here.
    """

    place: Place
    soft: bool = True
    times_back: int = 0
    starts: bool = False
    ending: tuple[int, ...] = ()
    over: bool = False


@dataclass(slots=True)
class Piece:
    """The music between two bar lines. `part` is the letter of its part (`P:` in ABC)."""

    place: Place
    events: list[WrittenNote | Mark] = field(default_factory=list)
    part: str = ""

    @property
    def length(self) -> Fraction:
        tones = (event.duration for event in self.events if isinstance(event, WrittenNote))
        return sum(tones, Fraction(0))


@dataclass(slots=True)
class WrittenVoice:
    """One voice as written. There is one more bar line than there are pieces: `barlines[n]` is
    before `pieces[n]`."""

    place: Place
    barlines: list[Barline]
    pieces: list[Piece] = field(default_factory=list)
    tones: list[WrittenNote] = field(default_factory=list)
