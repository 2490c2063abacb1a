"""Files as a browser shows them: equal to the engraver's own drawing, nothing cut off, no syllable
on another, and all in the page's colour."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, Page

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engine import Options, draw_in_worker, engraver_options, raw_drawing
from chorus_handbook.engraving.engraved import Engraved, sprite
from chorus_handbook.engraving.exercise import engrave_in_key
from chorus_handbook.engraving.lyric_font import FAMILY, FONT_FILE
from chorus_handbook.engraving.score_file import PreparedFile
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

Text = Callable[[str], str]
#: Slurs, ties, dashed lines, hairpins, trills, pedals, octave lines, glissandi, tremolos, rolled
#: chords, fermatas, breaths, tuplets, grace notes, endings, rehearsal marks, chord names, figured
#: bass, elisions, percussion, many bars of rest, several voices and staves, names and brackets.
EQUAL = (
    "02c 21d 22a 23b 24a 31a 32a- 32d 33a 33c 33h 41c 42a 43a 45b 46a 46g 61d 61g 61j 71a 73a 99a"
).split()
SHOWN = "21d 31a 32a- 33a 41d 42a 43e 45d 61b 61h 61k 71a 72a 73a".split()
#: The extent of every text, and of all ink, of each drawing.
MEASURE = """() => [...document.querySelectorAll('svg[role=img]')].map(svg => {
  const v = svg.viewBox.baseVal, box = svg.getBBox();
  return {
    view: [v.x, v.y, v.x + v.width, v.y + v.height],
    all: [box.x, box.y, box.x + box.width, box.y + box.height],
    words: [...svg.querySelectorAll('text:not([font-weight]):not([font-style])')].map(t => {
      const b = t.getBBox(); return [t.textContent, b.x, b.x + b.width, +t.getAttribute('y')]; }),
  };
})"""


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    page = chromium.new_page(viewport={"width": 1200, "height": 800})
    yield page
    page.close()


@pytest.fixture(scope="module")
def lyrics() -> str:
    """The lyrics' font."""
    data = base64.b64encode(FONT_FILE.read_bytes()).decode()
    return f"@font-face{{font-family:'{FAMILY}';src:url(data:font/woff2;base64,{data})}}"


@pytest.fixture(scope="module")
def fonts(lyrics: str) -> str:
    """The lyrics' font, and the engraver's music font for its own drawings."""
    spec = find_spec("verovio")
    assert spec is not None and spec.origin is not None
    music = (Path(spec.origin).parent / "data" / "Leipzig.css").read_text(encoding="utf-8")
    return f"{lyrics}{music}"


def show(page: Page, fonts: str, body: str, style: str = "") -> None:
    page.set_content(f"<style>{fonts}body{{margin:20px;background:#fff}}{style}</style>{body}")
    page.evaluate("Promise.all([...document.fonts].map(font => font.load()))")


def picture(page: Page) -> Image.Image:
    return Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("L")


@pytest.mark.parametrize("name", EQUAL)
def test_the_compact_drawing_equals_the_engravers(
    name: str, page: Page, fonts: str, file_text: Text
) -> None:
    """Pixel by pixel, but for colours, and for what is meant to differ: extender lines end early,
    bar numbers stand upright, and signs among bold words are not made bold by the browser, which
    together are few."""
    parts = ET.fromstring(file_text(name)).iter("score-part")  # by the names that the file has
    labels = [
        (p.get("id", ""), " ".join((p.findtext("part-name") or "").split()), "") for p in parts
    ]
    text = PreparedFile(file_text(name), labels).text("full")
    (compacted,) = draw_in_worker([(text, Options())])
    raw = re.sub(
        r"(<(?:g|tspan)\b[^>]*?) (?:color|fill)=\"#[^\"]*\"",
        r"\1",
        raw_drawing(text, engraver_options(text) | {"mmOutput": False}),
    )
    left, top, width, height = compacted.box
    size = f'width="{width / 25:.0f}" height="{height / 25:.0f}"'
    ours = (
        f'<svg {size} viewBox="{left} {top} {width} {height}" fill="currentColor" '
        f'font-family="{FAMILY}" font-size="{LYRIC_SIZE}">{compacted.body}</svg>'
    )
    theirs = raw.replace("<svg ", f"<svg {size} ", 1).replace("Times, serif", FAMILY)
    pictures = []
    for body in (sprite(compacted.symbols) + ours, sprite({}) + theirs):
        show(page, fonts, body)
        pictures.append(picture(page))
    difference = ImageChops.difference(*pictures)
    far, ink = sum(difference.histogram()[64:]), sum(pictures[1].histogram()[:128])
    assert ink > 300
    assert far <= ink * 0.03, f"{far} of {ink} dark pixels differ"


@pytest.fixture
def drawn(
    file_text: Text, file_score: Callable[..., Score], chorus: Chorus
) -> Callable[..., Engraved]:
    def draw(name: str, key: str = "C4") -> Engraved:
        score, tonic = file_score(file_text(name)), Pitch.parse(key)
        return engrave_in_key("x", "X", score, chorus=chorus, tonic=tonic)

    return draw


@pytest.mark.parametrize("name", SHOWN)
@pytest.mark.parametrize("key", ["C4", "Eb4"])
def test_nothing_is_cut_off(
    name: str, key: str, page: Page, lyrics: str, drawn: Callable[..., Engraved]
) -> None:
    engraved = drawn(name, key)
    show(page, lyrics, sprite(engraved.symbols) + engraved.wide + (engraved.narrow or ""))
    for drawing in page.evaluate(MEASURE):
        (left, top, right, bottom), ink = drawing["view"], drawing["all"]
        assert left <= ink[0] and ink[2] <= right, "at a side"
        assert top <= ink[1] and ink[3] <= bottom, "above or below"


@pytest.mark.parametrize("name", ["61a", "61b", "61c", "61d", "61g", "61h", "61k", "32a-", "42a"])
def test_no_syllable_lies_on_another(
    name: str, page: Page, lyrics: str, drawn: Callable[..., Engraved]
) -> None:
    engraved = drawn(name, "Eb4")
    show(page, lyrics, sprite(engraved.symbols) + engraved.wide + (engraved.narrow or ""))
    for drawing in page.evaluate(MEASURE):
        words = drawing["words"]
        for n, (word, left, right, line) in enumerate(words):
            for other, start, end, on in words[n + 1 :]:
                apart = end <= left or right <= start or abs(on - line) >= LYRIC_SIZE * 0.8
                assert apart, f"{word!r} and {other!r}"


@pytest.mark.parametrize("name", ["31a", "22a", "71a", "33a"])
def test_everything_follows_the_pages_colour(
    name: str, page: Page, lyrics: str, drawn: Callable[..., Engraved]
) -> None:
    engraved = drawn(name)
    ink = "rgb(230, 220, 200)"
    show(page, lyrics, sprite(engraved.symbols) + engraved.wide, f"body{{color:{ink}}}")
    found: list[Any] = page.evaluate(
        "() => [...document.querySelectorAll('svg[role=img] *')].flatMap(e => {"
        " const s = getComputedStyle(e); return [s.fill, s.stroke]; })"
    )
    assert set(found) == {ink, "none"}
