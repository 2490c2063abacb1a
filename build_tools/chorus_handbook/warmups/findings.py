"""What a check in `checks` finds in a running order: its values, and the sentences made from them.

The sentences and the limits of all checks stand in `browser/warm_up_rules.js`, because the browser
has the same checks (`browser/check_*.js`). Tests compare the findings of both by name, item and
values. This module fills the values into the English sentences, which `handbook check` prints.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from chorus_handbook.claims.wording import interval_of, listed, seconds
from chorus_handbook.pitch import named
from chorus_handbook.shared_facts import FILE, read_table
from chorus_handbook.warmups.running_order import SECOND, RunningOrder

RULES = read_table(FILE.with_name("warm_up_rules.js"), "RULES")
#: What the checks allow; the modules in `checks` explain each number.
LIMITS: Mapping[str, Any] = RULES["limits"]

#: A value in a sentence: a number, a text, or a mapping whose first key says how its content is put
#: into words. The functions below make such mappings.
Value = int | str | Mapping[str, Any]


def time(half_seconds: int) -> Value:
    """A value that is put into words as a length of time, such as "2 min"."""
    return {"time": half_seconds}


def interval(semitones: int) -> Value:
    """A value that is put into words as an interval, such as "a fifth"."""
    return {"interval": semitones}


def item(place: int, fact: str = "") -> Value:
    """A value that is put into words as the title of the item at a place, from 0. `fact` is what is
    said of it besides its title: "impact", "level" (with how well it is known), or nothing."""
    return {"item": place, "fact": fact}


def items(places: Iterable[int]) -> Value:
    """A value that is put into words as the titles of the items at these places, from 0."""
    return {"items": [*places]}


def voices(names: Iterable[str]) -> Value:
    """A value that is put into words as the labels of the voices with these names."""
    return {"voices": [*names]}


def notes(by_voice: Mapping[str, int]) -> Value:
    """A value that is put into words as a note for each voice, such as "Bass to E4"; the notes are
    MIDI numbers."""
    return {"notes": [[voice, note] for voice, note in by_voice.items()]}


@dataclass(frozen=True, slots=True)
class Finding:
    """One problem that a check has found.

    code: the code of the problem, such as "warmup-new".
    item: the place of the item that it is about, from 0; None for the whole warm-up.
    message, hint: what is wrong, and what to do.
    field: the field of the item, or of the warm-up, at which the problem is shown.
    name, values: the name of its sentences in `RULES`, and what was filled into them.
    """

    code: str
    item: int | None
    message: str
    hint: str
    field: str
    name: str
    values: Mapping[str, Value]

    def place_in(self) -> tuple[str | int, ...]:
        """The path of the field in the front matter, such as ("items", 2, "exercise")."""
        return (self.field,) if self.item is None else ("items", self.item, self.field)


def found(order: RunningOrder, name: str, place: int | None, **values: Value) -> Finding:
    """The finding with this name in `RULES`, for the item at `place` (None for the whole warm-up).
    `values` are filled into its sentences; {item} means the item at `place` unless they say
    otherwise."""
    rule = RULES["findings"][name]
    if place is not None:
        values.setdefault("item", item(place))
    words = {one: _in_words(order, value) for one, value in values.items()}
    return Finding(
        rule["code"],
        place,
        rule["message"].format(**words),
        rule["hint"].format(**words),
        rule.get("field", "exercise"),
        name,
        values,
    )


def _in_words(order: RunningOrder, value: Value) -> str:
    """A value as a phrase for a sentence."""
    if not isinstance(value, Mapping):
        return str(value)
    kind, inner = next(iter(value.items()))
    labels = order.voices
    words: dict[str, Callable[[], str]] = {
        "time": lambda: seconds(inner / SECOND),
        "interval": lambda: interval_of(inner),
        "item": lambda: _named(order, inner, value["fact"]),
        "items": lambda: listed(_named(order, place) for place in inner),
        "title": lambda: order.items[inner].title,
        "voices": lambda: listed(labels[name].label for name in inner),
        "notes": lambda: listed(f"{labels[name].label} to {named(note)}" for name, note in inner),
    }
    return words[kind]() if kind in words else str(inner)


def _named(order: RunningOrder, place: int, fact: str = "") -> str:
    """The title of the item at `place`, with a fact about it (see `item`)."""
    one = order.items[place]
    facts = {"impact": f"impact {one.impact}", "level": f"level {one.level} ({one.status})"}
    return one.named(facts.get(fact, ""))
