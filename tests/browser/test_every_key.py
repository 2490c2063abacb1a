"""The compact drawing against the engraver's own, in every key: the same pixels."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterator

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, Page

from checked import Checked
from chorus_handbook.engraving.compact import compact
from chorus_handbook.engraving.engine import Options, engraver_options, raw_drawing
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.engraving.lyric_font import FAMILY, FONT_FILE
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.music.keys import spell_keys
from shown import shown

#: Of each notation: unison and parts, words, held vowels, glides, speech, minor, bars of rests.
EXERCISES = ("three-strands", "hail-the-lightship", "half-a-fathom", "ropes-fast")
#: Units of the drawing to a pixel: a syllable is 20 pixels high.
SCALE = 20


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    page = chromium.new_page(viewport={"width": 2600, "height": 1200}, service_workers="block")
    yield page
    page.close()


@pytest.fixture(scope="module")
def font() -> str:
    data = base64.b64encode(FONT_FILE.read_bytes()).decode()
    return f'@font-face{{font-family:"{FAMILY}";src:url(data:font/woff2;base64,{data})}}'


def with_style_sheet(document: str, options: Options) -> str:
    given = engraver_options(document, options.width, options.transpose)
    return raw_drawing(document, given | {"mmOutput": False})


def without_what_is_meant_to_differ(raw: str) -> str:
    """The engraver's output without bar numbers, which we set upright, and lines below words, which
    begin or end elsewhere. Both have tests of their own."""
    raw = re.sub(r'<g [^>]*class="mNum\b.*?</g>', "", raw)
    return re.sub(
        r'(class="syl\b[^>]*>(?:<text(?:(?!</g>).)*</text>)?)(?:<rect [^>]*/>)+', r"\1", raw
    )


def both(raw: str) -> tuple[str, str, dict[str, str]]:
    """A drawing compacted, and as the engraver made it, in the same place and size."""
    picture = compact(raw, "", False)
    left, top, width, height = picture.box
    size = f'width="{width / SCALE:.0f}" height="{height / SCALE:.0f}"'
    ours = (
        f'<svg {size} viewBox="{left} {top} {width} {height}" fill="currentColor" '
        f'font-family="{FAMILY}" font-size="{LYRIC_SIZE}">{picture.body}</svg>'
    )
    moved = re.search(r'class="page-margin" transform="translate\((\S+), (\S+)\)', raw)
    assert moved is not None
    x, y = left + float(moved[1]), top + float(moved[2])
    theirs = re.sub(r'^<svg viewBox="[^"]*"', f"<svg {size}", raw)
    theirs = re.sub(
        r'(class="definition-scale".*?) viewBox="[^"]*"',
        rf'\1 viewBox="{x} {y} {width} {height}"',
        theirs,
        count=1,
    ).replace("Times, serif", FAMILY)
    return ours, theirs, picture.symbols


def photograph(page: Page, font: str, body: str) -> Image.Image:
    page.set_content(
        f"<!doctype html><style>{font}body{{margin:0;background:#fff}}"
        f"svg{{float:left;margin:4px}}</style>{body}"
    )
    page.evaluate(f"document.fonts.load('20px \"{FAMILY}\"').then(() => document.fonts.ready)")
    return Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("L")


@pytest.mark.parametrize("slug", EXERCISES)
def test_every_key_looks_as_the_engraver_drew_it(
    slug: str, demo: Checked, page: Page, font: str
) -> None:
    """Wide and narrow, in all twelve keys, pixel by pixel: a few may differ, from how strokes that
    were joined are smoothed, but not as many as make a dot."""
    tonics = spell_keys(demo.scores[slug], KeyPath.parse("C4 up to B4"))
    assert len(set(tonics)) == 12
    ours, theirs, symbols = [], [], {}
    for tonic in tonics:
        drawings = shown(demo, slug, tonic, with_style_sheet)
        assert len(drawings) == 2
        for raw in drawings:
            compacted, original, signs = both(without_what_is_meant_to_differ(raw))
            ours.append(compacted)
            theirs.append(original)
            symbols |= signs
    small = photograph(page, font, sprite(symbols) + "".join(ours))
    whole = photograph(page, font, sprite({}) + "".join(theirs))
    assert small.size == whole.size
    difference = ImageChops.difference(small, whole)
    ink = sum(whole.histogram()[:128])
    far = sum(difference.histogram()[64:])
    assert ink > 50_000
    assert far <= 10, f"{far} of {ink} dark pixels differ"
