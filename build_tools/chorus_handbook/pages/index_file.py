"""Makes index.json, the small file of all exercises that pages with lists load, and the same data
for the page of a single exercise.

`VERSION` is raised when a field is removed or changes its meaning. The browser checks it, because
it may have an older copy of the file than of the page.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.voices.ladder_data import LadderData, chorus_as_data

VERSION: int = FACTS["formats"]["index"]


def index_json(exercises: Mapping[str, str], chorus: Chorus) -> bytes:
    """The content of index.json, made from the entry of each exercise (`records.published`) by its
    slug; the same bytes for the same exercises."""
    head = _written(chorus, exercises=[]).removesuffix("]}")
    entries = ",".join(exercises[slug] for slug in sorted(exercises))
    return f"{head}{entries}]}}\n".encode()


def page_data(ladder: LadderData, chorus: Chorus) -> Markup:
    """The data of one exercise as JSON that can be put into a <script> element of its page."""
    return Markup(_written(chorus, ladder=ladder).replace("<", "\\u003c"))


def _written(chorus: Chorus, **more: Any) -> str:
    data = {"version": VERSION, "voices": chorus_as_data(chorus), **more}
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))
