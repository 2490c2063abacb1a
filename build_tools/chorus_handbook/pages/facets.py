"""The facets of the page "Find an exercise": the questions in its form, each about one field.

A facet offers the values that exercises of this handbook have in the field, in words, and says how
many exercises have each. With checkboxes, exercises with any of the chosen values are found; with a
bound ("at most a fifth"), those with a value up to it. In the address of the page, the choice is
written as conditions of views.yml: `?goals=tuning,blend&minutes=at+most+3`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal
from urllib.parse import quote_plus

from chorus_handbook.catalogue import N_, _, ngettext
from chorus_handbook.chorus.model import FAMILY_WORDS, Vocabulary
from chorus_handbook.pages.number_words import amount, span
from chorus_handbook.views import Row
from chorus_handbook.views.evaluate import Condition, Rule, meets
from chorus_handbook.views.fields import FIELDS, SCALE

#: How well the chorus knows an exercise: the names that `browser/sung.js` uses, and words for them.
_ROTATION = {
    "new": N_("New"),
    "settling": N_("Settling"),
    "known": N_("Known"),
    "resting": N_("Resting"),
}
#: Fields that every exercise has, so that "not hum" means: one of the others.
_ALWAYS_STATED = {"impact", "sounding"}
#: The bounds in minutes that are offered at first: round numbers, as warm-ups are planned with.
_PLAIN_MINUTES = (1, 2, 3, 5, 10)


@dataclass(frozen=True, slots=True)
class Choice:
    """One value that a facet offers.

    value: as it is written in views.yml and in the address, such as "at most 3".
    item: as it is in the row of an exercise (`views.evaluate`).
    label: what readers see.
    count: how many exercises of the handbook it finds; None where only the browser knows.
    group: the heading below which it stands; empty if there is none.
    fine: whether it is shown only while it is chosen, because a rounder bound serves as well.
    """

    value: str
    item: str | int
    label: str
    count: int | None = None
    group: str = ""
    fine: bool = False


@dataclass(frozen=True, slots=True)
class Facet:
    """One question of the form on the page "Find an exercise".

    field: the field that it is about.
    legend: the text above its choices.
    kind: "several" if any number of the choices can be chosen, "most" if one is chosen as an upper
        bound.
    main: whether it is in view at once, and not below "more". A bound then has a few round numbers.
    in_views: whether views.yml has this field; false for what depends on the day or the reader.
    """

    field: str
    legend: str
    choices: tuple[Choice, ...]
    kind: Literal["several", "most"] = "several"
    main: bool = False
    in_views: bool = True


def facets_of(
    rows: Iterable[Row],
    labels: Mapping[str, Mapping[str | int, str]],
    vocabulary: Vocabulary,
    *,
    has_log: bool,
) -> tuple[Facet, ...]:
    """The facets for exercises with these rows; those that offer no choice are left out. `labels`
    has the words for values (`index_file.labels`); `has_log` says whether the chorus keeps a log of
    what it sang."""
    rows = tuple(rows)
    families = {
        name: _(FAMILY_WORDS[goal.family]) if goal.family else ""
        for name, goal in vocabulary.goals.items()
    }

    def several(
        field: str, legend: str, words: Mapping[str | int, str] | None = None, main: bool = False
    ) -> Facet:
        words, counts = labels[field] if words is None else words, _counts(rows, field)
        groups = families if field == "goals" else {}
        choices = (
            Choice(str(item), item, label, counts[item], groups.get(str(item), ""))
            for item, label in words.items()
            if item in counts
        )
        found = () if _separates_nothing(rows, field, counts) else tuple(choices)
        return Facet(field, legend, found, main=main)

    def most(field: str, legend: str, main: bool = False) -> Facet:
        plain = _PLAIN_MINUTES if main else ()
        return Facet(field, legend, tuple(_bounds(rows, field, plain)), "most", main)

    impacts: dict[str | int, str] = {
        number: _("{number} {word}", number=number, word=word)
        for number, word in labels["impact"].items()
    }
    most_parts = max((int(item) for item in _counts(rows, "parts")), default=0)
    parts: dict[str | int, str] = {
        n: ngettext("{n} part", "{n} parts", n) for n in range(1, most_parts + 1)
    }
    rotation = tuple(Choice(name, name, _(word)) for name, word in _ROTATION.items())
    fits = (Choice("yes", "yes", _("Begins in a key that I can sing")),)
    found = (
        several("goals", _("Goal"), main=True),
        several("impact", _("Impact"), impacts, main=True),
        several("parts", _("Parts at once"), parts, main=True),
        most("minutes", _("Minutes, the first time"), main=True),
        several("moment", _("When"), main=True),
        several("level", _("To learn")),
        several("sounding", _("Manner")),
        several("voices_sing", _("Sung by")),
        most("ambitus_semitones", _("Range of a voice")),
        most("largest_interval", _("Largest interval")),
        most("known", _("Minutes, once known")),
        several("motion", _("Motion")),
        several("formation", _("Formation")),
        Facet("fits", _("My range"), fits, in_views=False),
        Facet("rotation", _("How well we know it"), rotation if has_log else (), in_views=False),
    )
    return tuple(facet for facet in found if facet.choices)


def _counts(rows: Iterable[Row], field: str) -> Counter[str | int]:
    """How many exercises have each value of a field."""
    counts: Counter[str | int] = Counter()
    for row in rows:
        value = row[field]
        if value is not None:
            counts.update(value if isinstance(value, tuple) else (value,))
    return counts


def _separates_nothing(rows: Iterable[Row], field: str, values: Iterable[str | int]) -> bool:
    """Whether several values all find the same exercises, as when everyone sings in all of them."""
    values = {*values}
    stated = (row[field] for row in rows)
    return len(values) > 1 and all(
        value is None or {*(value if isinstance(value, tuple) else (value,))} in ({*()}, values)
        for value in stated
    )


def _bounds(rows: Iterable[Row], field: str, plain: Iterable[int] = ()) -> Iterable[Choice]:
    """A choice for each upper bound. The bounds are the numbers that exercises have in the field,
    and those of the `plain` numbers (in the field's unit) that are below the highest of them."""
    unit, count = FIELDS[field].unit, 0
    counts = _counts(rows, field)
    offered = {n * SCALE[unit] for n in plain}
    highest = max(map(int, counts), default=0)
    for bound in sorted({*map(int, counts), *(n for n in offered if n < highest)}):
        count += counts[bound]
        text = f"{Decimal(bound) / SCALE[unit]:f}"
        label = span(bound) if unit == "semitones" else amount(bound / SCALE[unit])
        # Translators: {bound} is such as "a fifth" or "2½" (minutes).
        label = _("up to {bound}", bound=label)
        if field == "largest_interval" and bound == 0:
            label = _("repeated notes only")
        fine = bool(offered) and bound not in offered
        yield Choice(f"at most {text}", bound, label, count, fine=fine)


def address_of(rule: Rule, facets: Iterable[Facet]) -> str:
    """The query (such as "?goals=blend") with which the page finds what this rule of views.yml
    finds. Conditions that no facet can express are left out; empty if none is left."""
    by_field = {facet.field: facet for facet in facets}
    asked = {
        condition["field"]: values
        for condition in rule["all"]
        if (facet := by_field.get(condition["field"])) and (values := _chosen(facet, condition))
    }
    return query(asked)


def query(asked: Mapping[str, Sequence[str]]) -> str:
    """The query (such as "?goals=blend") in which these values are chosen; `asked` maps each field
    to its values. Empty without any."""
    written = [f"{field}={quote_plus(','.join(v), safe=',')}" for field, v in asked.items()]
    return f"?{'&'.join(written)}" if written else ""


def _chosen(facet: Facet, condition: Condition) -> list[str]:
    """The values of a facet that together find the same exercises as a condition; empty if no
    values do."""
    if facet.kind == "most":
        low, high = condition["values"] if condition["test"] == "between" else (0, None)
        if low is not None or not isinstance(high, int):
            return []
        below = [choice for choice in facet.choices if isinstance(choice.item, int)]
        return [choice.value for choice in below if int(choice.item) <= high][-1:]
    if condition["test"] not in ("one-of", "between") and not (
        condition["test"] == "none-of" and facet.field in _ALWAYS_STATED
    ):
        return []
    return [c.value for c in facet.choices if meets({facet.field: c.item}, condition)]
