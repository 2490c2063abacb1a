"""The fields of chorus.yml (who sings) and vocabulary.yml (the words that exercises may use)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Annotated, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidatorFunctionWrapHandler,
    field_validator,
    model_validator,
)
from pydantic_core import PydanticKnownError

from chorus_handbook import catalogue
from chorus_handbook.catalogue import N_, _
from chorus_handbook.chorus.file_format import FIRST_FORMAT, FORMAT
from chorus_handbook.pitch import ClefName, Pitch
from chorus_handbook.problems import in_quotes
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.source.names import LONGEST_NAME, NAME_PATTERN

Diagram = Literal["circle", "facing-pairs", "square", "arc", "rows", "scattered", "seated"]

#: What a new exercise begins with: sung notes, spoken beats, or no music.
NotationKind = Literal["sung", "spoken", "none"]

#: What goals are about, so that a warm-up can begin with body or breath and end with ears.
Family = Literal["body", "breath", "sound", "reach", "ears"]

#: The impact scale in words.
IMPACT_WORDS: dict[int, str] = {int(n): word for n, word in FACTS["scales"]["impact"].items()}
#: The level in words: how soon an exercise is learned by ear.
LEVEL_WORDS: dict[int, str] = {int(n): word for n, word in FACTS["scales"]["level"].items()}
#: Where an exercise stands in a warm-up, by its `moment`.
MOMENT_WORDS: dict[str, str] = {
    "opening": N_("early"),
    "middle": N_("once warmed up"),
    "closing": N_("last"),
    "after": N_("after singing"),
}
#: The families of goals, as pages name them.
FAMILY_WORDS: dict[Family, str] = {
    "body": N_("Body"),
    "breath": N_("Breath"),
    "sound": N_("Sound"),
    "reach": N_("Reach"),
    "ears": N_("Ears"),
}

#: A name as files use it: small letters, digits, hyphens.
Name = Annotated[str, Field(pattern=NAME_PATTERN, max_length=LONGEST_NAME)]
#: One line of text that is not empty.
Line = Annotated[str, Field(min_length=1, max_length=300, pattern=r"^[^\n]*\S[^\n]*$")]


class Model(BaseModel):
    """The base of all models of authors' files: unknown fields are errors, instances immutable."""

    model_config = ConfigDict(
        defer_build=True, extra="forbid", frozen=True, coerce_numbers_to_str=True
    )

    @field_validator("*", mode="wrap")
    @classmethod
    def _refuse_yes_as_number(cls, value: object, read: ValidatorFunctionWrapHandler) -> object:
        """Refuse `true` for a number, because Python would take it for 1."""
        found = read(value)
        if isinstance(value, bool) and not isinstance(found, bool):
            raise PydanticKnownError("float_type" if isinstance(found, float) else "int_type")
        return found


def checked_by(read: Callable[[str], object]) -> AfterValidator:
    """The validator of a field that stays text: it refuses a text for which `read` raises
    ValueError, with the message of that error."""

    def check(text: str) -> str:
        read(text)
        return text

    return AfterValidator(check)


class NoteRange(Model):
    """A range such as "C4 to F5": its lowest and its highest note, as text."""

    lowest: Annotated[str, Field(description="Lowest note, such as C4")]
    highest: Annotated[str, Field(description="Highest note, such as F5")]

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        lowest, highest = Pitch.parse(self.lowest).midi, Pitch.parse(self.highest).midi
        if lowest == highest:
            raise ValueError(
                f"both notes are the same, {self.lowest}; "
                'write the lowest and the highest, such as "C4 to G5"'
            )
        if lowest > highest:
            raise ValueError(
                f"{self.lowest} is not lower than {self.highest}; write the lower note first"
            )
        return self

    @property
    def low(self) -> int:
        """MIDI number of the lowest note."""
        return Pitch.parse(self.lowest).midi

    @property
    def high(self) -> int:
        """MIDI number of the highest note."""
        return Pitch.parse(self.highest).midi


def _split_range(value: object) -> object:
    """Turn a text such as "C4 to F5" into the fields of a `NoteRange`. Raises ValueError, with a
    message for the author, if it has another form."""
    if isinstance(value, dict | NoteRange):
        return value
    low, to, high = value.partition(" to ") if isinstance(value, str) else ("", "", "")
    if not to:
        raise ValueError('write two notes with "to" between them, such as "C4 to F5"')
    return {"lowest": str(Pitch.parse(low)), "highest": str(Pitch.parse(high))}


Range = Annotated[NoteRange, BeforeValidator(_split_range, json_schema_input_type=str)]


def _one_as_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


#: One line of text, or a list of several.
Lines = Annotated[
    list[Line],
    Field(min_length=1),
    BeforeValidator(_one_as_list, json_schema_input_type=str | list[str]),
]


Octave = Annotated[
    int, Field(ge=-3, le=3, description="The octave it sings in: -1 is one below the written key.")
]


class Voice(Model):
    """One voice (section) of the chorus, with the ranges that its singers have."""

    label: Annotated[Line, Field(description="The name as it is printed: Soprano.")]
    clef: Annotated[ClefName, Field(description="The clef the voice reads.")]
    octave: Octave = 0
    comfortable: Annotated[Range, Field(description="What it sings with ease: C4 to F5.")]
    limits: Annotated[Range, Field(description="The lowest and highest note it has: A3 to A5.")]
    widest: Annotated[
        Range | None,
        Field(description="How far hums, trills and glides may go, if beyond the limits."),
    ] = None

    @model_validator(mode="after")
    def _widest_holds_limits(self) -> Self:
        if self.widest and (
            self.widest.low > self.limits.low or self.widest.high < self.limits.high
        ):
            raise ValueError(
                'the range after "widest:" must go at least as low and as high as the limits; '
                'widen it, or delete "widest:" if hums and glides go no further than the limits'
            )
        return self

    @model_validator(mode="after")
    def _limits_hold_comfort(self) -> Self:
        if self.limits.low > self.comfortable.low or self.limits.high < self.comfortable.high:
            raise ValueError(
                "the limits must go at least as low and as high as the comfortable range; widen "
                "the limits, or narrow the comfortable range"
            )
        return self


class Leader(Model):
    """How the line of the leader (whoever leads the exercise) is written. Unlike a voice, the
    leader has no range."""

    label: Annotated[
        Line | None, Field(description="The name as it is printed, if not Leader.")
    ] = None
    clef: Annotated[ClefName, Field(description="The clef of the line.")] = "treble"
    octave: Octave = 0


class SoundFont(Model):
    """An instrument of a sound font on which exercises are played, instead of the built-in tone."""

    file: Annotated[Line, Field(description="Where it lies: sounds/our-piano.sf2.")]
    bank: Annotated[
        int, Field(ge=0, le=16383, description="The number of the bank with the instrument.")
    ] = 0
    program: Annotated[
        int, Field(ge=0, le=127, description="The instrument's number in the bank, from 0.")
    ] = 0


class Chorus(Model):
    """chorus.yml: the voices in score order, and groups of them."""

    name: Annotated[Line, Field(description="The chorus's name.")]
    place: Annotated[Line | None, Field(description="Where it is at home.")] = None
    language: Annotated[
        Line, Field(description="The language of the site's own words, such as en.")
    ] = catalogue.ENGLISH
    format: Annotated[
        int, Field(ge=FIRST_FORMAT, le=FORMAT, description="The format of the handbook's files.")
    ] = FIRST_FORMAT
    licence: Annotated[
        Line | None,
        Field(description="On what terms others may use the exercises: CC BY-SA 4.0."),
    ] = None
    indexed: Annotated[
        bool, Field(description="Whether search engines may list the pages: true or false.")
    ] = False
    voices: Annotated[
        dict[Name, Voice],
        Field(min_length=1, max_length=16, description="The voices, highest first."),
    ]
    groups: Annotated[
        dict[Name, list[str]],
        Field(description="Names for several voices together, such as upper: [soprano, alto]."),
    ] = {}
    leader: Annotated[Leader, Field(description="How a leader's own line is written.")] = Leader()
    sound_font: Annotated[
        SoundFont | None, Field(description="What exercises are heard on, if not the usual tone.")
    ] = None

    @field_validator("language")
    @classmethod
    def _has_catalogue(cls, value: str) -> str:
        known = catalogue.languages()
        if value not in known:
            raise ValueError(
                f'the site\'s own words are not translated into "{value}"; write one of these: '
                f"{in_quotes(known)}"
            )
        return value

    def label_of(self, name: str) -> str:
        """The name that readers see of a voice or of the leader."""
        if name in self.voices:
            return self.voices[name].label
        return self.leader.label or _("Leader")

    def named(self, name: str) -> tuple[str, ...] | None:
        """The names of the voices that `name` stands for: a voice, a group or "all". None for any
        other name."""
        if name == "all":
            return tuple(self.voices)
        if name in self.voices:
            return (name,)
        members = self.groups.get(name)
        return None if members is None else self.in_order(members)

    def in_order(self, names: Iterable[str]) -> tuple[str, ...]:
        """The given names of voices in score order, each once."""
        wanted = set(names)
        return tuple(voice for voice in self.voices if voice in wanted)


class Goal(Model):
    """A goal: something that exercises are for, such as tuning."""

    label: Annotated[Line, Field(description="The name as it is printed.")]
    about: Annotated[str, Field(description="What singers gain by it, in a sentence or two.")]
    family: Annotated[
        Family | None, Field(description="Its family: body, breath, sound, reach or ears.")
    ] = None


class Caution(Model):
    """One line of advice that can keep a singer from being hurt."""

    text: Annotated[Line, Field(description="The caution itself, in one line.")]
    short: Annotated[
        Line | None, Field(max_length=60, description="The same in a few words, for cue sheets.")
    ] = None

    @property
    def in_short(self) -> str:
        """The caution in a few words; the whole text if there is no shorter one."""
        return self.short or self.text


class Sounding(Model):
    """A manner of sounding, its lowest impact and the cautions that come with it."""

    label: Annotated[Line, Field(description="The name as it is printed: lip trill.")]
    lowest_impact: Annotated[
        int, Field(ge=1, le=5, description="The least it can ask of the voice, 1 to 5.")
    ]
    cautions: Annotated[list[str], Field(description="Cautions that come with it.")] = []
    widest: Annotated[
        bool,
        Field(description="Whether it may go as far as a voice's widest range: a hum, a trill."),
    ] = False
    notation: Annotated[
        NotationKind,
        Field(description="What a new exercise begins with: sung notes, spoken beats, or none."),
    ] = "sung"


class Formation(Model):
    """A way to stand, with the picture that shows it."""

    label: Annotated[Line, Field(description="The name as it is printed: in a circle.")]
    diagram: Annotated[Diagram, Field(description="The picture that shows it.")]


class Action(Model):
    """Something done with the body that brings cautions of its own."""

    label: Annotated[Line, Field(description="The name as it is printed: moves the neck.")]
    cautions: Annotated[list[str], Field(description="Cautions that come with it.")]


class Vocabulary(Model):
    """vocabulary.yml: the words that front matter may use."""

    goals: Annotated[dict[Name, Goal], Field(min_length=1, description="What exercises are for.")]
    soundings: Annotated[
        dict[Name, Sounding], Field(min_length=1, description="Manners of sounding.")
    ]
    formations: Annotated[dict[Name, Formation], Field(description="Ways to stand.")] = {}
    cautions: Annotated[dict[Name, Caution], Field(description="Cautions by name.")] = {}
    actions: Annotated[
        dict[Name, Action], Field(description="What the body does that needs care.")
    ] = {}
    impact_cautions: Annotated[
        dict[Annotated[int, Field(ge=1, le=5)], list[str]],
        Field(description="Cautions that come with an impact from 1 to 5, and all stronger ones."),
    ] = {}
    words: Annotated[
        dict[Line, Lines],
        Field(description="Everyday words under which people look, with the pages they lead to."),
    ] = {}
