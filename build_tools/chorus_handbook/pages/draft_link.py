"""Writes a warm-up or a routine as the part of a link after "#".

A reader who follows the link gets to the page on which warm-ups are put together, with these items
in it already. `browser/draft_link.js` reads that part of the link, and explains its form.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote_plus

from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages.page import DRAFT, link
from chorus_handbook.warmups.texts import WrittenPlan

#: The version of this form, with which that part of the link begins.
_VERSION = "1"
#: The fields of a plan and of an item that the link has, by their short names in the link.
_PLAN = {"t": "title", "s": "starts", "m": "minutes", "k": "kind"}
_ITEM = {
    "e": "exercise",
    "k": "keys",
    "m": "minutes",
    "f": "formation",
    "v": "variation",
    "b": "by",
    "i": "if_time",
    "n": "note",
    "o": "keep",
}


def begin_with(text: WrittenPlan) -> str:
    """The link from a plan's page to a draft with its items. What belongs to its one evening is
    left out: its date, who was there, and what was sung."""
    front = text.front
    head = _query(
        _PLAN, front.model_dump() if isinstance(front, WarmUpFields) else {"title": front.title}
    )
    items = [_query(_ITEM, item.model_dump()) for item in front.items]
    return f"{link(text.page, DRAFT)}#{'~'.join([_VERSION, f'{head}&n={len(items)}', *items])}"


def _query(names: Mapping[str, str], fields: Mapping[str, Any]) -> str:
    """The fields that have a value, under their short names, such as "e=slipway&m=2"."""
    return "&".join(
        f"{short}={_escaped(fields[name])}" for short, name in names.items() if fields.get(name)
    )


def _escaped(value: object) -> str:
    """A value as it is written in the link, in which "~" separates items."""
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return quote_plus(text).replace("~", "%7E")
