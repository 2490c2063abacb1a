"""Makes the data files that the site's own scripts read: index.json, search.json, planning.json.

Each is made from all exercises, so together they take as long to make as many pages. They are
therefore cached like pages, under a key of everything they are made from, and a build of unchanged
files does not even import the modules that make them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from chorus_handbook.cache import Cache
from chorus_handbook.entries.model import Text
from chorus_handbook.pages.page import FOLDER
from chorus_handbook.pages.planning_file import PLANNING_FILE
from chorus_handbook.pages.plans import Plans
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Parts
from chorus_handbook.views import Views
from chorus_handbook.warmups.rotation import expected_log
from chorus_handbook.warmups.texts import warm_ups_in


def data_files(
    stock: Mapping[str, Exercise],
    texts: Sequence[Text[Any]],
    views: Views,
    plans: Plans,
    parts: Parts,
) -> dict[str, bytes]:
    """Maps the path of each data file in the site to its content. `stock` has all exercises, keyed
    by slug, `texts` all other content; `parts` keeps finished files from build to build."""
    made_from = Cache.key(
        plans.common,
        repr(plans.vocabulary.words),  # by which search finds pages; other pages do not show them
        *(exercise.digest for exercise in stock.values()),
        repr((views.saved, views.by_goal)),
        repr([(text.page, text.title, text.front, text.source.body) for text in texts]),
    )

    def index() -> bytes:
        from chorus_handbook.pages.index_file import index_json

        return index_json(stock, views.rows, plans.chorus, plans.vocabulary, plans.log)

    def search() -> bytes:
        from chorus_handbook.pages.search_file import search_json

        return search_json(stock, texts, views, plans, plans.vocabulary)

    def planning() -> bytes:
        from chorus_handbook.pages.planning_file import planning_json

        warm_ups = warm_ups_in(texts)
        log = expected_log(warm_ups)  # as `check` has it
        return planning_json(stock, plans.chorus, plans.vocabulary, log, warm_ups)

    makers = {
        f"{FOLDER}/index.json": index,
        f"{FOLDER}/search.json": search,
        PLANNING_FILE: planning,
    }
    return {
        path: parts.stored(Cache.key("data file", path, made_from), make)
        for path, make in makers.items()
    }
