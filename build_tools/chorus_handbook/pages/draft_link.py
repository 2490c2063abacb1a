"""Writes a warm-up or a routine as the part of a link after "#".

A reader who follows the link gets to the page on which warm-ups are put together, with these items
in it already. `browser/draft_link.js` reads that part of the link, and explains its form.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from urllib.parse import quote_plus

from chorus_handbook.pages.page import DRAFT, link
from chorus_handbook.warmups.texts import WrittenPlan

#: The version of this form, with which that part of the link begins.
_VERSION = "1"
#: The fields of a plan that the link has, by their short names in the link.
_PLAN = {
    "t": "title",
    "d": "date",
    "s": "starts",
    "m": "minutes",
    "k": "kind",
    "p": "piece",
    "c": "first_chord",
    "g": "goals",
    "v": "present",
    "f": "few",
    "h": "there",
    "j": "join_in",
    "l": "leader",
    "i": "pianist",
    "r": "room",
    "e": "at_home",
    "a": "answers",
    "u": "file",
    "b": "body",
}
#: Fields of an item, by their short names.
_ITEM = {
    "e": "exercise",
    "k": "keys",
    "m": "minutes",
    "f": "formation",
    "v": "variation",
    "b": "by",
    "i": "if_time",
    "n": "note",
    "a": "at",
    "o": "keep",
    "s": "sung",
    "t": "top",
    "r": "remark",
}
#: What belongs to the evening of a plan, and not to a new plan that begins as a copy of it: the
#: date, the log of what was sung, its file, and its author's text.
_OF_ITS_EVENING = {"date", "file", "body", "sung", "top", "remark"}


def begin_with(text: WrittenPlan) -> str:
    """The link from a plan's page to a new draft like it, for another evening."""
    return _link(text.page, _fields(text), text.front.items, _OF_ITS_EVENING)


def change(text: WrittenPlan) -> str:
    """The link from a warm-up's page to a draft of that warm-up, with all that its file says."""
    of_its_file = {"file": text.source.slug, "body": text.source.text.strip()}
    return _link(text.page, _fields(text) | of_its_file, text.front.items, set())


def _link(page: str, fields: Mapping[str, Any], items: Iterable[Any], without: set[str]) -> str:
    parts = [_query(_ITEM, item.model_dump(exclude=without)) for item in items]
    head = _query(_PLAN, {name: fields[name] for name in fields.keys() - without})
    return f"{link(page, DRAFT)}#{'~'.join([_VERSION, f'{head}&n={len(parts)}', *parts])}"


def _fields(text: WrittenPlan) -> dict[str, Any]:
    """The fields of a plan as the link has them: those of `leads_into` are among the others."""
    front = text.front
    fields = front.model_dump()
    if front.present is not None:
        fields["present"] = front.voices_present
    return fields | (fields.get("leads_into") or {})


def _query(names: Mapping[str, str], fields: Mapping[str, Any]) -> str:
    """One part of the link: the fields that have a value, such as "e=slipway&m=2"."""
    return "&".join(
        f"{short}={_escaped(value)}"
        for short, name in names.items()
        if fields.get(name)
        for value in _values(fields[name])
    )


def _values(value: Any) -> Iterator[str]:
    """A value as text; of a mapping, a text for each pair."""
    if isinstance(value, Mapping):
        yield from (f"{name}:{one}" for name, one in value.items())
    elif isinstance(value, list):
        yield ",".join(value)
    else:
        yield f"{value:.12g}" if isinstance(value, float) else str(value)


def _escaped(text: str) -> str:
    """A text as it is written in the link, in which "~" separates items."""
    return quote_plus(text).replace("~", "%7E")
