"""Makes index.json, the small file of all exercises that pages with lists load, and the same data
for the page of a single exercise.

`VERSION` is raised when a field is removed or changes its meaning. The browser checks it, because
it may have an older copy of the file than of the page.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.records import Exercise
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.voices.ladder_data import chorus_as_data, ladder_as_data

VERSION: int = FACTS["formats"]["index"]

#: A ladder for the browser, as `voices.ladder_data` writes it.
LadderData = Mapping[str, Any]


def index_json(
    exercises: Iterable[tuple[str, FrontMatter, LadderData | None]], chorus: Chorus
) -> bytes:
    """The content of index.json, made from the slug, fields and ladder of each exercise; the same
    bytes for the same exercises."""
    listed = [
        {
            "slug": slug,
            "title": front.title,
            **({"plain": front.plain} if front.plain else {}),
            **({"ladder": ladder} if ladder else {}),
        }
        for slug, front, ladder in sorted(exercises, key=lambda row: row[0])
    ]
    return (_written(chorus, exercises=listed) + "\n").encode()


def ladder_for_browser(exercise: Exercise) -> LadderData | None:
    """The ladder of an exercise as plain data for `browser/ladder.js`."""
    octave = exercise.front.step_out == "octave"
    return ladder_as_data(exercise.ladder, may_change_octave=octave)


def page_data(ladder: LadderData, chorus: Chorus) -> Markup:
    """The data of one exercise as JSON that can be put into a <script> element of its page."""
    return Markup(_written(chorus, ladder=ladder).replace("<", "\\u003c"))


def _written(chorus: Chorus, **more: Any) -> str:
    data = {"version": VERSION, "voices": chorus_as_data(chorus), **more}
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))
