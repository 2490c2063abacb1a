"""The table `FIELDS` of everything that a view can ask about: what authors state in the front
matter of exercises, and what was measured.

For each field it has the kind of its values, their unit, and a function that gets the value of an
exercise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.model import Entries, FrontMatter, Moment, Motion, StepOut
from chorus_handbook.music.learning import known_minutes, level_of
from chorus_handbook.music.modes import MODES
from chorus_handbook.pitch import parse_interval
from chorus_handbook.problems import CODES

Kind = Literal["number", "word", "words", "yes-no"]

#: The units of numbers, and by how much they are multiplied in rows to be whole numbers.
Unit = Literal["count", "semitones", "pitch", "share", "decimal"]
SCALE: dict[Unit, int] = {"count": 1, "semitones": 1, "pitch": 1, "share": 1000, "decimal": 1000}

#: Returns the words that a field can have, in their own order; None when any text is possible.
Known = Callable[[ChorusConfig, Entries], Sequence[str] | None]


def _any_text(_config: ChorusConfig, _entries: Entries) -> None:
    return None


@dataclass(frozen=True, slots=True)
class Field:
    """One field that a view can ask about.

    kind: what its values are: a number, a word, several words, or yes or no.
    value: a function that returns its value for an exercise; None when there is none.
    known: a function that returns the words it can have; None when any are possible.
    unit: the unit of a number.
    least, most: the bounds of a number; None where there are none. Values and bounds are not yet
        multiplied by `SCALE`.
    """

    kind: Kind
    value: Callable[[Subject], Any]
    known: Known = _any_text
    unit: Unit = "count"
    least: float | None = None
    most: float | None = None


def _stated(kind: Kind, name: str, known: Known = _any_text, unit: Unit = "count") -> Field:
    """The field for what authors state in the front matter under this name. A number has the bounds
    that `FrontMatter` gives it."""
    # pydantic keeps the bounds of a field as objects with the attribute `ge` or `le`
    bounds = FrontMatter.model_fields[name].metadata if kind == "number" else []
    return Field(
        kind,
        lambda subject: getattr(subject.front, name),
        known,
        unit,
        least=next((bound.ge for bound in bounds if hasattr(bound, "ge")), None),
        most=next((bound.le for bound in bounds if hasattr(bound, "le")), None),
    )


def _measured(name: str, unit: Unit = "count", most: float | None = None) -> Field:
    """The field for the number that has this name in `Facts`."""
    return Field(
        "number",
        lambda subject: getattr(subject.facts, name) if subject.facts else None,
        unit=unit,
        least=0,
        most=most,
    )


def _span(name: str) -> Field:
    """The field for the number of semitones that has this name in `Facts`. An exercise in which
    nothing is sung has no value for it."""
    return Field(
        "number",
        lambda subject: getattr(subject.facts, name) if subject.voices else None,
        unit="semitones",
        least=0,
    )


def _largest(name: str, unit: Unit = "count") -> Field:
    """The field for the number that has this name in `VoiceFacts`: its value is the largest among
    the voices of the chorus."""

    def value(subject: Subject) -> Any:
        return max((getattr(voice, name) for voice in subject.sounding), default=None)

    return Field("number", value, unit=unit, least=0)


def _literal(words: Any) -> Known:
    """A function that returns the words of a `Literal` type."""
    return lambda _config, _entries: get_args(words)


def _vocabulary(name: str) -> Known:
    """A function that returns the words in the table `name` of vocabulary.yml; None when that file
    has errors."""

    def known(config: ChorusConfig, _entries: Entries) -> Sequence[str] | None:
        return None if config.vocabulary is None else tuple(getattr(config.vocabulary, name))

    return known


def _voice_names(config: ChorusConfig, _entries: Entries) -> Sequence[str] | None:
    chorus = config.chorus
    return None if chorus is None else ("all", *chorus.voices, *chorus.groups)


def _slugs(_config: ChorusConfig, entries: Entries) -> Sequence[str]:
    return sorted(entries.slugs)


def _notices(_config: ChorusConfig, _entries: Entries) -> Sequence[str]:
    return [code for code, severity in CODES.items() if severity == "notice"]


def _with_groups(voices: Iterable[str], chorus: Chorus | None) -> list[str]:
    """The names of voices, and of all groups whose members are among them, so that a view can ask
    for "upper"."""
    present = set(voices)
    if chorus is None:
        return sorted(present)
    # "?" is no voice, so a name without voices is never among those present
    names = [name for name in ("all", *chorus.groups) if set(chorus.named(name) or "?") <= present]
    return [*chorus.in_order(present), *names]


def _stated_voices(subject: Subject) -> list[str]:
    stated, chorus = subject.front.voices, subject.chorus
    names = [stated] if isinstance(stated, str) else stated or []
    voices = [v for name in names for v in ((chorus and chorus.named(name)) or ())]
    return _with_groups(voices, chorus)


def _singing_voices(subject: Subject) -> list[str]:
    return _with_groups((facts.voice for facts in subject.sounding), subject.chorus)


def _cautions(subject: Subject) -> Sequence[str]:
    """The cautions of an exercise and those that vocabulary.yml adds to it."""
    if subject.vocabulary is None:
        return subject.front.cautions
    return tuple(cautions_for(subject.front, subject.vocabulary))


def _range(subject: Subject) -> int | None:
    """The range that the author states, in semitones."""
    claim = subject.front.range
    return None if claim is None else parse_interval(claim)[1]


def _lowest(subject: Subject) -> int | None:
    return min((v.lowest.midi for v in subject.voices if v.lowest), default=None)


def _highest(subject: Subject) -> int | None:
    return max((v.highest.midi for v in subject.voices if v.highest), default=None)


FIELDS: dict[str, Field] = {
    # the front matter
    "title": _stated("word", "title"),
    "plain": _stated("word", "plain"),
    "summary": _stated("word", "summary"),
    "goals": _stated("words", "goals", _vocabulary("goals")),
    "impact": _stated("number", "impact"),
    "sounding": _stated("word", "sounding", _vocabulary("soundings")),
    "level": Field(
        "number", lambda subject: level_of(subject.front, subject.facts), least=1, most=3
    ),
    "minutes": _stated("number", "minutes", unit="decimal"),
    "known": Field(
        "number",
        lambda subject: known_minutes(subject.front, subject.facts),
        unit="decimal",
        most=60,
    ),
    "tempo": _stated("number", "tempo", unit="decimal"),
    "keys": _stated("word", "keys"),
    "passes": _stated("number", "passes"),
    "lead_in": _stated("number", "lead_in"),
    "round": Field("yes-no", lambda subject: subject.front.round is not None),
    "tune_to": _stated("word", "tune_to"),
    "roots": _stated("word", "roots"),
    "voices": Field("words", _stated_voices, _voice_names),
    "step_out": _stated("word", "step_out", _literal(StepOut)),
    "range": Field("number", _range, unit="semitones", least=0),
    "motion": _stated("word", "motion", _literal(Motion)),
    "formation": _stated("word", "formation", _vocabulary("formations")),
    "moment": _stated("word", "moment", _literal(Moment)),
    "cue": _stated("word", "cue"),
    "also_called": _stated("words", "also_called"),
    "cautions": Field("words", _cautions, _vocabulary("cautions")),
    "actions": _stated("words", "actions", _vocabulary("actions")),
    "related": _stated("words", "related", _slugs),
    "leads_to": _stated("words", "leads_to", _slugs),
    "origin": _stated("word", "origin"),
    "licence": _stated("word", "licence"),
    "score": _stated("word", "score"),
    "answers": _stated("words", "answers", _notices),
    # the file
    "slug": Field("word", lambda subject: subject.entry.slug, _slugs),
    "notated": Field("yes-no", lambda subject: subject.entry.source.notation is not None),
    # measured: the exercise
    "meter": Field("word", lambda subject: subject.facts.meter if subject.facts else None),
    "mode": Field(
        "word",
        lambda subject: subject.facts.mode if subject.facts else None,
        lambda _config, _entries: tuple(MODES),
    ),
    "key_count": Field(
        "number", lambda subject: len(subject.facts.keys) if subject.facts else None, least=1
    ),
    "seconds_per_pass": _measured("seconds_per_pass", "decimal"),
    "length_seconds": _measured("length_seconds", "decimal"),
    "parts": _measured("parts"),
    "ambitus_semitones": _span("ambitus_semitones"),
    "largest_interval": _span("largest_interval"),
    "largest_interval_name": Field(
        "word", lambda subject: (subject.facts and subject.facts.largest_interval_name) or None
    ),
    "largest_leap": _span("largest_leap"),
    "step_share": _measured("step_share", "share", most=1),
    "longest_phrase_seconds": _measured("longest_phrase_seconds", "decimal"),
    # measured: the voices, at the first key
    "voices_sing": Field("words", _singing_voices, _voice_names),
    "lowest": Field("number", _lowest, unit="pitch", least=0, most=127),
    "highest": Field("number", _highest, unit="pitch", least=0, most=127),
    "notes": _largest("notes"),
    "syllables": _largest("syllables"),
    "spoken_beats": _largest("spoken_beats", "decimal"),
    "voiced_seconds": _largest("voiced_seconds", "decimal"),
}
