"""The types of music as it stands on paper: its repeats are still signs, not written out.

The readers of all notations produce a `Key` and `WrittenVoice`s, which consist of notes, marks such
as dynamics, and bar lines. `ensemble` makes a `Score` from them, as it is sung.
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

#: The tonic of a written key is taken in the octave from C4 to B4. So when an author names that
#: tonic in `keys` (`keys: G4` for music written in G), the music sounds as it is written.
REFERENCE_OCTAVE = 4
_C = Pitch(0, 0, REFERENCE_OCTAVE)


@dataclass(frozen=True, slots=True)
class Key:
    """The key of written notes.

    tonic: from C4 to B4.
    altered: maps a letter, as steps above C (0 to 6), to the semitones by which the key signature
        raises it (negative: lowers it). Letters that it does not alter are left out.
    """

    tonic: Pitch = _C
    mode: ModeName = "major"
    altered: Mapping[int, int] = field(default_factory=lambda: MappingProxyType({}))

    def degree(self, pitch: Pitch, octave: int) -> Degree:
        """A written `pitch` as a degree of this key, in a part that sings `octave` octaves higher
        than the degrees."""
        tonic = Pitch(self.tonic.step, self.tonic.alter, self.tonic.octave + octave)
        steps, semitones = interval_between(tonic, pitch)
        return Degree(steps, semitones - Degree(steps).semitones(self.mode))


@dataclass(slots=True, eq=False)
class WrittenNote:
    """One written note; a rest if it has neither `pitch` nor `spoken`.

    place: where it is in the file.
    pitch: its pitch; the highest one where the voice divides.
    duration: its length in quarters.
    piece: the index of its `Piece` in the voice.
    tie: the place of the tie that joins it to the next note, if there is one.
    tied: whether a tie joins it to the note before.
    loose: whether its tie counts only those times through a repeat when the same pitch follows.
    words: a syllable for each verse; None where no syllable begins on it.
    below: its other pitches, from high to low, where the voice divides.
    graces: quick notes before it.
    slurs_begin, slurs_end: how many slurs begin and end on it. Those that end began on earlier
        notes.
    glide: whether the voice glides from it to the next note.
    easy: whether singers go towards its pitch only as far as is easy.
    breath: the place of a breath mark after it.
    staggered: whether the singers take that breath at different moments.
    spoken: for a spoken note, how high it is spoken.
    id: in music from a MusicXML file, the key under which the reader keeps its note element.
    hidden: whether it is a rest that is not drawn.
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
    """A bar line, or several signs at one place that count as one.

    soft: whether it may be inside a bar, as a repeat sign may; a plain bar line ends a bar.
    times_back: how often the singers go back from here to where the repeat starts.
    starts: whether a repeat starts here.
    ending: if an ending of a repeat begins here, the times through (from 1) at which it is sung.
    over: whether an ending of a repeat is over here.
    """

    place: Place
    soft: bool = True
    times_back: int = 0
    starts: bool = False
    ending: tuple[int, ...] = ()
    over: bool = False


@dataclass(slots=True)
class Piece:
    """The music between two bar lines. `part` is the letter of the section of the tune to which it
    belongs (`P:` in ABC); empty in a tune without sections."""

    place: Place
    events: list[WrittenNote | Mark] = field(default_factory=list)
    part: str = ""

    @property
    def length(self) -> Fraction:
        notes = (event.duration for event in self.events if isinstance(event, WrittenNote))
        return sum(notes, Fraction(0))


@dataclass(slots=True)
class WrittenVoice:
    """One voice as written. There is one more bar line than there are pieces: `barlines[n]` is
    before `pieces[n]`. `notes` has all notes and rests of the pieces, in order."""

    place: Place
    barlines: list[Barline]
    pieces: list[Piece] = field(default_factory=list)
    notes: list[WrittenNote] = field(default_factory=list)
