"""What a rule finds in a running order: its numbers, and the sentences made from them.

The sentences and the limits of all rules stand in `browser/warm_up_rules.js`, because the browser
runs the same rules (`browser/check_*.js`). A finding in Python and one in the browser are the same
if their names, items and values are equal. `handbook check` prints the sentences in English, as
this module fills them in.
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
#: What the rules allow; the modules in `checks` explain each number.
LIMITS: Mapping[str, Any] = RULES["limits"]

#: A value in a sentence: a number or a text, or an object whose first field says how its content is
#: put into words. The functions below make such objects.
Value = int | str | Mapping[str, Any]


def time(half_seconds: int) -> Value:
    """A length of time, such as "2 minutes"."""
    return {"time": half_seconds}


def interval(semitones: int) -> Value:
    """An interval, such as "a fifth"."""
    return {"interval": semitones}


def item(place: int, fact: str = "") -> Value:
    """The item at a place, with its "impact", or its "level" and status, if `fact` says so."""
    return {"item": place, "fact": fact}


def items(places: Iterable[int]) -> Value:
    """The items at several places."""
    return {"items": [*places]}


def voices(names: Iterable[str]) -> Value:
    """The voices with these names."""
    return {"voices": [*names]}


def notes(by_voice: Mapping[str, int]) -> Value:
    """A note for each voice; the notes are MIDI numbers."""
    return {"notes": [[voice, note] for voice, note in by_voice.items()]}


@dataclass(frozen=True, slots=True)
class Finding:
    """One problem that a check has found: its code, the place of its item from 0 (None for the
    whole warm-up), a message that says what is wrong, a hint that says what to do, and the field
    that the problem is shown at. `name` and `values` are what message and hint are made from."""

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
    """The finding with this name in `RULES`, at the item at `place`, which is also what {item}
    means if `values` do not say otherwise."""
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
    one = order.items[place]
    facts = {"impact": f"impact {one.impact}", "level": f"level {one.level} ({one.status})"}
    return one.named(facts.get(fact, ""))
