"""Makes the file warm-up.json of an exercise: what it contributes to the page of a warm-up that is
put together in the browser.

The file has the exercise's screen on the music stand, its line in the form in which the leader
notes what was sung, its row on the cue sheet, and its row on the strip, the slip of paper for
whoever gives the notes. All are made by the templates of a warm-up's page. What depends on the plan
is a slot in them, `<span data-plan="NAME"></span>`, which `browser/draft_parts.js` fills in;
elements that this script may remove are marked `data-optional`.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.cue_sheet import cue_sheet_parts, staves_in_keys
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import KeyRow, OrderRow, lower, order_rows
from chorus_handbook.pages.page import DRAFT
from chorus_handbook.pages.stand import key_data, stand_item
from chorus_handbook.pages.strip import from_fork, give
from chorus_handbook.pitch import Pitch
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Thumbnail
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.voices import Rung
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log

VERSION: int = FACTS["formats"]["warm_up_parts"]
#: What depends on the plan in a row, by the names of the fields of `OrderRow`. `older` is the key,
#: two semitones lower, in which older singers begin.
_OF_ROW = (
    "number",
    "clock",
    "offset",
    "keys",
    "short_keys",
    "older",
    "moves",
    "presence",
    "leaving",
)
#: The same, by the names of the item's own fields.
_OF_ITEM = ("variation", "note", "by")


def slot(name: str) -> Markup:
    """An empty element that the browser fills with the part of the plan called `name`."""
    return Markup('<span data-plan="{}"></span>').format(name)


def warm_up_parts(
    exercise: Exercise,
    chorus: Chorus,
    vocabulary: Vocabulary,
    opening: Callable[[Exercise, str], Thumbnail | None],
) -> bytes:
    """The content of an exercise's warm-up.json: what the exercise contributes to warm-ups that are
    put together in the browser. Equal exercises give equal bytes. `opening` draws its first bars in
    the key of a tonic."""
    row, keys = _row(exercise, chorus, vocabulary)
    stand = {
        **stand_item(DRAFT, row, vocabulary),
        "about": [slot("about")],
        "passage": "",
        "planned_keys": "",
        "absent": "",
        "following": slot("following"),
    }
    texts, sheet = cue_sheet_parts(row)
    sheet |= {"voices": slot("voices"), "also": slot("also"), "stave": ""}
    strip = {"row": row, "give": slot("give"), "fork": slot("fork")}
    data: dict[str, Any] = {
        "version": VERSION,
        "keys": keys,
        "cue": exercise.front.cue or "",
        **texts,
        "stand": render("stand_item.html", one=stand),
        "log": render("stand_log_item.html", one=stand),
        "sheet": render("cue_sheet_row.html", one=sheet, say="", steps=[]),
        "strip": render("strip_row.html", one=strip),
        **staves_in_keys(row, opening),
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _row(
    exercise: Exercise, chorus: Chorus, vocabulary: Vocabulary
) -> tuple[OrderRow, list[dict[str, Any]]]:
    """The row of an exercise with all its keys, in which what depends on the plan is a slot; and
    the data of each key."""
    slug = exercise.slug
    # A warm-up with this exercise alone. What it states here does not reach the result.
    front = WarmUpFields.model_validate(
        {
            "title": slug,
            "date": "2000-01-01",
            "starts": "0:00",
            "minutes": 1,
            "items": [{"exercise": slug}],
        }
    )
    text = Text(WARM_UP.name, Source(slug, f"handbook/{DRAFT}", None, {}), slug, front)
    order = running_order(text, {slug: exercise}, chorus, vocabulary, Log())
    assert order
    (row,) = order_rows(text, order, {slug: exercise}, chorus, vocabulary, with_status=False)
    rungs = exercise.ladder.rungs if exercise.ladder else ()
    keys = [_key(row, key, rung) for key, rung in zip(row.key_rows, rungs, strict=True)]
    slots: dict[str, Any] = {name: slot(name) for name in _OF_ROW}
    # With `if_time`, templates write "if time", which the script removes where it does not apply.
    item = row.item.model_copy(update={"if_time": 1, **{n: slot(n) for n in _OF_ITEM}})
    return replace(row, item=item, **slots), keys


def _key(row: OrderRow, key: KeyRow, rung: Rung) -> dict[str, Any]:
    """A key for the stand, with the note on which each voice begins, what is given before it, and
    how to find it from a tuning fork. `older` is the key in which older singers begin instead."""
    return {
        **key_data(key),
        "starts": {name: words.note(step.first) for name, step in rung.voices.items()},
        "give": give(row, key),
        "fork": from_fork(Pitch.parse(key.tonic)),
        "older": lower(rung.tonic),
    }
