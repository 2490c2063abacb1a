"""Music as it is written, before it is unfolded and sung: the key, and what one voice has in it:
tones, marks, and the bar lines between them."""

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
    """`tonic` lies from C4 to B4. `altered` has the semitones by which the signature alters each
    step from C, steps it leaves alone left out."""

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
    """One written note, or a rest when it has neither `pitch` nor `spoken`.  `tie` is the place
    of the sign that ties it to the next one; `tied` says that it is only the second half of
    such a pair, and `loose` that the tie is for some times of a repeat alone. `breath` is the
    place of a breath behind it, `staggered`: one that not everyone takes at once. `words` has
    one item a verse. Where a voice divides, `pitch` is the highest of the notes and `below` has
    the others, downward. `graces` are quick notes before it. So many slurs begin and end here:
    where both do, those that end come from earlier notes. `glide`: the voice glides on to the
    next note. `easy`: sung only as far as is easy. `hidden`: a rest that is not drawn.
    `id` is that of the note in the file that will be drawn, where the file is drawn itself.
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
        """The MIDI numbers of its pitches, downward."""
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
    """What stands before a piece of music, or after the last.

    `soft`: more than a plain bar line, so that it may stand inside a bar. `ends` is how often what
    went before is repeated, `starts`: a repeat begins, `ending`: the times at which what follows is
    sung, `over`: the bracket of an ending is over.
    """

    place: Place
    soft: bool = True
    ends: int = 0
    starts: bool = False
    ending: tuple[int, ...] = ()
    over: bool = False


@dataclass(slots=True)
class Piece:
    """The music between two barlines; `part` is the letter of its `P:`."""

    place: Place
    events: list[WrittenNote | Mark] = field(default_factory=list)
    part: str = ""

    @property
    def length(self) -> Fraction:
        tones = (event.duration for event in self.events if isinstance(event, WrittenNote))
        return sum(tones, Fraction(0))


@dataclass(slots=True)
class WrittenVoice:
    """One voice as written. There is one barline more than there are pieces: `barlines[n]` stands
    before `pieces[n]`."""

    place: Place
    barlines: list[Barline]
    pieces: list[Piece] = field(default_factory=list)
    tones: list[WrittenNote] = field(default_factory=list)
