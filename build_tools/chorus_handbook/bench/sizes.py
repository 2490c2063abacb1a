"""Measures how large pages are compared with pages that contain the engraver's own output."""

from __future__ import annotations

import gzip
import re
import statistics
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from chorus_handbook.bench.floors import raw_options
from chorus_handbook.bench.renders import Render
from chorus_handbook.engraving.engine import raw_drawing

#: A score in a page.
_DRAWING = re.compile(r'<svg role="img".*?</svg>', re.DOTALL)
#: The hidden drawing with the symbols, such as clefs, that a page stores once for all its scores.
_SPRITE = re.compile(r'<svg width="0" height="0".*?</svg>', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Sizes:
    """How small our compacted drawings make the pages of exercises, on average.

    page: the bytes of a page, divided by the bytes that it would have with the engraver's drawings
        as they are, not compacted.
    scores: the same ratio for the drawings alone, counting the symbols that a page stores once for
        all its drawings.
    packed: the bytes of a drawing when all drawings of its page are compressed together with gzip.
    alone: the bytes of a drawing when each is compressed with gzip by itself.
    """

    page: float
    scores: float
    packed: float
    alone: float


def sizes(site: Path, renders: Sequence[Render]) -> Sizes:
    """Compare the pages of a built site with the engraver's own output for the same `renders`."""
    raw: dict[str, list[str]] = defaultdict(list)
    for render in renders:
        if render.page:
            raw[render.page].append(raw_drawing(render.document, raw_options(render)))
    pages = {
        slug: (site / "exercises" / slug / "index.html").read_text(encoding="utf-8") for slug in raw
    }
    return _compared(pages, raw)


def _compared(pages: Mapping[str, str], raw: Mapping[str, Sequence[str]]) -> Sizes:
    page, scores, packed, alone = [], [], [], []
    for slug, text in pages.items():
        drawings, sprites = _DRAWING.findall(text), _SPRITE.findall(text)
        ours = sum(_bytes(part) for part in (*drawings, *sprites))
        theirs = sum(_bytes(drawing) for drawing in raw[slug])
        page.append(_bytes(text) / (_bytes(text) - ours + theirs))
        scores.append(ours / theirs)
        packed.append(_packed("".join((*sprites, *drawings))) / len(drawings))
        alone += [_packed(drawing) for drawing in drawings]
    return Sizes(*(statistics.mean(values) for values in (page, scores, packed, alone)))


def _bytes(text: str) -> int:
    return len(text.encode())


def _packed(text: str) -> int:
    return len(gzip.compress(text.encode()))
