"""The data types of a file as its author wrote it: fields, text, links and notation.

`FrontMatter` defines the fields of an exercise once: pydantic validates files with it, and the JSON
Schema with which text editors complete fields is made from it, descriptions included. Nothing is
measured here; `records/` puts what was measured beside an `Entry`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, ClassVar, Generic, Literal, get_args

from pydantic import BeforeValidator, Field, PlainSerializer

from chorus_handbook.catalogue import N_
from chorus_handbook.chorus.model import Line, Model, Name, checked_by
from chorus_handbook.entries.draft import PLACEHOLDERS
from chorus_handbook.entries.keys import KeyPath, KeysText
from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.rendered import Rendered
from chorus_handbook.entries.roots import Root, parse_roots
from chorus_handbook.entries.round import Round
from chorus_handbook.pitch import parse_interval
from chorus_handbook.problems import Place

StepOut = Literal["no", "allowed", "octave"]
Motion = Literal["repeats", "steps", "skips", "leaps", "glide", "mixed"]
Moment = Literal["opening", "middle", "closing", "after"]


#: How often an exercise may be sung in one key.
MOST_PASSES = 20


class FrontMatter(Model):
    """The fields of an exercise, which are between the two lines "---" at the top of its file."""

    #: Fields that had another name in earlier versions: old name -> name today.
    RENAMED: ClassVar[Mapping[str, str]] = {"reminder": "cue"}

    title: Annotated[Line, Field(max_length=80, description="The name on the page.")]
    plain: Annotated[
        Line | None,
        Field(max_length=60, description="What the exercise is, if its title does not say it."),
    ] = None
    summary: Annotated[Line, Field(description="One line that says what the exercise is.")]
    goals: Annotated[
        list[Name],
        Field(
            min_length=1, max_length=6, description="What the exercise is for, the main goal first."
        ),
    ]
    impact: Annotated[
        int,
        Field(ge=1, le=5, description="How much effort the exercise asks of the voice, 1 to 5."),
    ]
    sounding: Annotated[Name, Field(description="The manner of sounding, such as hum.")]
    level: Annotated[
        int | None,
        Field(ge=1, le=3, description="How soon the exercise is learned, 1 (at once) to 3."),
    ] = None
    minutes: Annotated[
        float, Field(gt=0, le=60, description="How many minutes the exercise takes when it is new.")
    ]
    known: Annotated[
        float | None,
        Field(gt=0, le=60, description="How many minutes the exercise takes once it is known."),
    ] = None
    tempo: Annotated[
        float | None,
        Field(ge=20, le=300, description="Beats a minute. An exercise with notes needs it."),
    ] = None
    keys: Annotated[
        KeysText | None,
        Field(description='The keys, such as "C4 up to G4". An exercise with notes needs them.'),
    ] = None
    passes: Annotated[
        int, Field(ge=1, le=MOST_PASSES, description="How often the exercise is sung in each key.")
    ] = 1
    lead_in: Annotated[
        int,
        Field(ge=0, le=32, description="Beats between two keys, while the new key's chord sounds."),
    ] = 4
    voices: Annotated[
        str | list[str] | None,
        Field(
            description='Who sings: "all", or names of voices and groups. Without this field, '
            "those who have notes."
        ),
    ] = None
    round: Annotated[
        Round | None,
        Field(description='How one line is sung as a round, instead of the field "passes".'),
    ] = None
    step_out: Annotated[
        StepOut,
        Field(description="Whether a voice may stop, or change octave, at the end of its range."),
    ] = "no"
    range: Annotated[
        Annotated[str, checked_by(parse_interval)] | None,
        Field(
            description="How far the lowest and the highest note of one voice are apart, such as "
            "P5, in the voice where this is most. It is checked against the notes."
        ),
    ] = None
    motion: Annotated[
        Motion | None,
        Field(description="How the line moves. It is checked against the notes."),
    ] = None
    tune_to: Annotated[
        Name | None,
        Field(description="What chords are tuned to: tonic, bass (the lowest note), or a voice."),
    ] = None
    roots: Annotated[
        Annotated[str, checked_by(parse_roots)] | None,
        Field(
            max_length=4000,
            description='The root of the chord on each beat, to tune to: "1 - 4 - | 5 - 1 -".',
        ),
    ] = None
    formation: Annotated[Name | None, Field(description="How the chorus stands.")] = None
    moment: Annotated[
        Moment | None, Field(description="In which part of a warm-up it is usually sung.")
    ] = None
    cue: Annotated[
        Line | None,
        Field(
            max_length=40, description="The cue word: a short word that recalls it in rehearsal."
        ),
    ] = None
    also_called: Annotated[
        list[Line], Field(max_length=12, description="Other names of the exercise.")
    ] = []
    cautions: Annotated[
        list[Name], Field(description="Cautions besides those that vocabulary.yml adds by itself.")
    ] = []
    actions: Annotated[
        list[Name],
        Field(description="Movements of the body that need care: neck, jaw, touch-face ..."),
    ] = []
    related: Annotated[list[Name], Field(description="File names of related exercises.")] = []
    leads_to: Annotated[list[Name], Field(description="Exercises that go well after it.")] = []
    origin: Annotated[
        Line | None, Field(description="Whose exercise it is, if it comes from another handbook.")
    ] = None
    licence: Annotated[
        Line | None, Field(description="On what terms it may be used, if others made it.")
    ] = None
    score: Annotated[
        str | None,
        Field(
            description="A score in the folder scores/, instead of notes in this file.",
            max_length=200,
        ),
    ] = None
    answers: Annotated[
        dict[Name, Line],
        Field(
            description="Notices that are not to be reported: the code of each, and your reason."
        ),
    ] = {}

    @property
    def full_title(self) -> str:
        """The title and, where there is one, the plain name: for places that show one line, such as
        the browser's tab and a track's tags."""
        return self.title if self.plain is None else f"{self.title} · {self.plain}"

    @property
    def key_path(self) -> KeyPath | None:
        """The field `keys`, read; None if it is left out."""
        return None if self.keys is None else KeyPath.parse(self.keys)

    @property
    def root_path(self) -> tuple[Root, ...]:
        """The field `roots`, read; empty if it is left out."""
        return () if self.roots is None else parse_roots(self.roots)


EXERCISE = Kind(
    "exercise",
    FrontMatter,
    "exercises",
    list_title=N_("All exercises"),
    notation=True,
    placeholders=PLACEHOLDERS,
)


#: The notations that are written in a fence (```degrees, ```abc). "score" is the third: a file of
#: its own, which the field `score` names.
FenceNotation = Literal["degrees", "abc"]
NotationName = FenceNotation | Literal["score"]
FENCE_NOTATIONS: tuple[FenceNotation, ...] = get_args(FenceNotation)


@dataclass(frozen=True, slots=True)
class Notation:
    """The music of an exercise as it stands in the file: the text inside a fence, or the path of a
    score file. `place` is where this text begins; the lines of a fence are not indented, so a
    column in `text` is a column in the file."""

    kind: NotationName
    text: str
    place: Place


def dict_of_pairs(pairs: object) -> object:
    """Turn a list of pairs, which is the form of `Places` in JSON, back into a mapping. Anything
    else is returned unchanged."""
    if not isinstance(pairs, list):
        return pairs
    return {tuple(name): place for name, place in pairs}


#: The place of each field in the file, by its path in the YAML, such as ("goals", 1). JSON keys
#: must be strings, so in JSON this is a list of pairs.
Places = Annotated[
    Mapping[tuple[str | int, ...], Place],
    PlainSerializer(lambda places: list(places.items()), when_used="json"),
    BeforeValidator(dict_of_pairs),
]


@dataclass(frozen=True, slots=True)
class Source:
    """A file that could be read, whether or not its fields are valid.

    slug: its name among the files of its kind, without the ending.
    path: its path as messages show it.
    notation: the music in it, if it has any.
    places: where each field is in the file.
    text: its text as Markdown. The music is replaced by empty lines and comments by spaces, so that
        all else keeps its line.
    first_line: the number of the line of the file on which `text` begins.
    body: the same text as HTML. Both are empty when the text is too complex to be rendered.
    """

    slug: str
    path: str
    notation: Notation | None
    places: Places
    text: str = ""
    first_line: int = 1
    body: Rendered = field(default_factory=Rendered)

    @property
    def page(self) -> str:
        """The path of its page below the handbook's folder, such as "exercises/low-tide.md"."""
        return self.path.partition("/")[2]

    def place_of(self, *field: str | int) -> Place:
        """The place of a field in the file, given by the names and indexes that lead to it. For a
        field that is not written there, it is the place of the field around it, or else the start
        of the file."""
        while field and field not in self.places:
            field = field[:-1]
        return self.places.get(field, Place(self.path))


@dataclass(frozen=True, slots=True)
class Text(Generic[Fields]):
    """A file of any kind with valid fields.

    kind: what a file of this kind is called, such as "exercise" or "warm-up".
    source: the file as it was read.
    title: the title of its page.
    front: its fields.
    """

    kind: str
    source: Source
    title: str
    front: Fields

    @property
    def page(self) -> str:
        return self.source.page


@dataclass(frozen=True, slots=True)
class Entry:
    """An exercise with valid fields: the file as it was read, and its fields."""

    source: Source
    front: FrontMatter

    @property
    def slug(self) -> str:
        return self.source.slug


@dataclass(frozen=True, slots=True)
class Entries:
    """All exercises of the handbook.

    sources: every file that could be read.
    entries: those whose fields are valid.
    slugs: every exercise that has a file at all, so that a link to one with errors is not reported
        as leading nowhere.
    """

    sources: tuple[Source, ...] = ()
    entries: tuple[Entry, ...] = ()
    slugs: frozenset[str] = frozenset()
