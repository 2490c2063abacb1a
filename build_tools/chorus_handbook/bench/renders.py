"""Which documents the engraver is asked to draw for a handbook, and how wide."""

from __future__ import annotations

from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import Options, draw
from chorus_handbook.engraving.layouts import Layouts
from chorus_handbook.pipeline import Handbook

Render = tuple[str, int | None]


def renders(book: Handbook) -> list[Render]:
    """Every render of a cold build: the MEI document and the page's width, if it has one."""
    asked: list[Render] = []

    def recorded(mei: str, options: Options) -> Picture:
        asked.append((mei, options.width))
        return draw(mei, options)

    chorus = book.setting.chorus
    assert chorus is not None
    for slug, facts in book.music.facts.items():
        layouts = Layouts(book.music.scores[slug], chorus, facts.keys[0], recorded)
        layouts.wide()
        layouts.narrow()
        layouts.thumbnail()
    return asked
