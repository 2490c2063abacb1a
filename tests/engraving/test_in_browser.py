"""Drawings as a browser shows them: equal to the engraver's own, nothing on top of another thing,
nothing cut off, in the page's colour, and no wider than a phone."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, Page

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engine import Options, draw, engraver_options, raw_drawing
from chorus_handbook.engraving.engraved import Engraved, sprite
from chorus_handbook.engraving.exercise import engrave_in_key
from chorus_handbook.engraving.lyric_font import FAMILY, FONT_FILE
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Degree, Score, Span
from chorus_handbook.pitch import Pitch

ALL = ["soprano", "alto", "tenor", "bass"]


def unison(build: Any) -> tuple[Score, str]:
    """A unison figure in triplets."""
    figure = [build.sung(4, "1/3", "brr___________")]
    figure += build.scale(3, 2, 3, 2, 1, 2, 1, 0, 1, 0, -1, length="1/3")
    return build.score(build.together(ALL, [*figure, build.sung(0, 3), build.rest(1)])), "F4"


def words(build: Any) -> tuple[Score, str]:
    """Words with hyphens over several systems."""
    words = "Lights a- long the har- bour wall where strength- ened through- ways meet".split()
    line = [build.sung(n * 3 % 5, 1, word) for n, word in enumerate(words * 2)]
    return build.score(build.together(ALL, line), meter="3/4"), "D4"


def verses(build: Any) -> tuple[Score, str]:
    """Five verses."""
    vowels = ["mee__", "meh__", "mah__", "moh__", "moo__"]
    again = ["ee", "eh", "ah", "oh", "oo"]
    line = [
        build.sung(0, 2, vowels),
        build.sung(2, 1),
        build.sung(1, 1),
        build.rest(2),
        build.sung(0, 2, again),
    ]
    return build.score(build.together(ALL, line)), "Bb3"


def vowels(build: Any) -> tuple[Score, str]:
    """Two vowels held over several systems, which have no words but their lines."""
    parts = []
    for n, voice in enumerate(ALL):
        notes = [build.sung(n, 2, ["noo_________", "vah_________"])]
        notes += build.scale(*[n + 1, n] * 4, length=2)
        signs = (build.dynamic("mp", 0), build.dynamic("mf", 8), build.dynamic(">", 12, 16))
        parts.append(build.part(voice, [*notes, build.sung(n, 2)], dynamics=signs))
    return build.score(parts), "D4"


def parts(build: Any) -> tuple[Score, str]:
    """Four parts with dynamics and breaths."""
    parts = []
    for n, voice in enumerate(ALL):
        line = [
            build.sung(n, 4, "doo__"),
            build.sung(n + 1, 4, breath="breath"),
            build.sung(n, 8, staggered=(4,)),
        ]
        signs = (build.dynamic("mp", 0), build.dynamic("<", 4, 12), build.dynamic("f", 12))
        parts.append(build.part(voice, line, dynamics=signs))
    return build.score(parts), "Gb4"


def speech(build: Any) -> tuple[Score, str]:
    """A spoken call and its answer."""
    words = "Ti- ny tug- boats tow the tide".split()
    call = [
        build.spoken(h, "1/2", w)
        for h, w in zip(["middle", "high", "low"] * 3, words, strict=False)
    ]
    line = [*call, build.rest("1/2"), build.rest(4)]
    answer = [build.rest(4), *call, build.rest("1/2")]
    leader = build.part("leader", line)
    return build.score([leader, *build.together(ALL, answer)], blocks=[0, 4]), "C4"


def everything(build: Any) -> tuple[Score, str]:
    """Most of what one line can hold."""
    top = [
        build.sung(4, 1, "Come"),
        build.sung(0, 1, "sing-"),
        build.sung(2, "1/2", "ing_", alter=1),
        build.sung(3, "1/2"),
        build.sung(4, 1, glide_at=0),
        build.sung(7, 1, easy=True),
        build.spoken("low", 1, "ho"),
        build.sung(6, 2, "now", alter=-1, fermatas=(build.hold(0, 2),)),
        build.sung(7, "2/3", "light-"),
        build.sung(6, "1/3", "ly"),
        build.sung(5, "1/5", "diddly____"),
        *build.scale(4, 3, 2, 1, length="1/5"),
        build.sung(0, 2, "dum"),
    ]
    below = build.part("bass", [build.rest(9), build.sung(0, 3, "dum"), build.rest("1")])
    above = build.part("soprano", top, dynamics=(build.dynamic(">", 5, 9),))
    return build.score([above, below], mode="minor", pickup=1), "Eb4"


def dense(build: Any) -> tuple[Score, str]:
    """Sixteenths with a syllable each."""
    line = [build.sung(n % 8, "1/4", ["mi-", "ni", "ma-", "na"][n % 4]) for n in range(32)]
    return build.score([build.part("soprano", line)]), "C4"


def free(build: Any) -> tuple[Score, str]:
    """Long notes without a meter."""
    line = [
        build.sung(0, 20, "mm____"),
        build.sung(1, "1/2"),
        build.sung(2, "1/2"),
        build.sung(3, 6),
        build.rest(3),
        build.sung(0, 9),
    ]
    return build.score(build.together(ALL, line), meter="free"), "D4"


def low(build: Any) -> tuple[Score, str]:
    """Notes far outside the staff."""
    line = [
        build.sung(-9, 1, "gulp"),
        build.sung(-11, 1, "gag"),
        build.sung(14, 1, "peep"),
        build.sung(16, 1, "yelp"),
    ]
    return build.score([build.part("alto", line)]), "A3"


def ornaments(build: Any) -> tuple[Score, str]:
    """Slurs, divided notes, grace notes and accents, with words and dynamics."""

    def slurs(*times: tuple[int | str, int]) -> tuple[Span, ...]:
        return tuple(Span(Fraction(start), Fraction(end) - Fraction(start)) for start, end in times)

    top = [
        build.sung(4, 1, "Glo-", accents=("accent",)),
        build.sung(5, "1/2", "ry_", graces=(Degree(6),)),
        build.sung(4, "1/2", accents=("staccato",)),
        build.sung(2, 2, "come___", below=(Degree(0),), accents=("tenuto",)),
        build.sung(3, 1, graces=(Degree(4), Degree(5, 1))),
        build.sung(5, "1/2", below=(Degree(3),)),
        build.sung(6, "1/2", below=(Degree(4, 1),)),
        build.sung(7, 4, "home,", below=(Degree(4), Degree(2)), accents=("marcato",)),
        build.sung(9, 1, "sing", accents=("accent", "staccato"), glide_at=0, below=(Degree(7),)),
        build.sung(8, 1, "high__", graces=(Degree(9),), below=(Degree(6),)),
        build.sung(7, 1),
        build.sung(6, 1, accents=("marcato", "tenuto")),
        build.rest(2),
    ]
    low = [
        build.sung(0, 2, "Hum,", accents=("accent",)),
        *build.scale(1, 2),
        build.sung(-3, 4, below=(Degree(-7),)),
        build.sung(4, 2, "high", below=(Degree(3),), accents=("marcato",)),
        build.sung(1, 2, graces=(Degree(0), Degree(1), Degree(2))),
        build.rest(4),
    ]
    return build.score(
        [
            build.part(
                "soprano",
                top,
                slurs=slurs((1, 2), (2, 6), (3, 10), (11, 14)),
                dynamics=(build.dynamic("mf", 0), build.dynamic("<", 2, 6), build.dynamic("f", 6)),
            ),
            build.part("bass", low, slurs=slurs((0, 4), (3, 8), (8, 12))),
        ],
    ), "Eb4"


CASES = {
    "ornaments": ornaments,
    "unison": unison,
    "words": words,
    "verses": verses,
    "vowels": vowels,
    "parts": parts,
    "speech": speech,
    "everything": everything,
    "dense": dense,
    "free": free,
    "low": low,
}


@pytest.fixture(scope="module")
def font() -> str:
    """The style sheet that brings the shipped font into a page."""
    data = base64.b64encode(FONT_FILE.read_bytes()).decode()
    return f'@font-face{{font-family:"{FAMILY}";src:url(data:font/woff2;base64,{data})}}'


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 1200, "height": 900})
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def engraved(build: Any, chorus: Chorus) -> Callable[[str], Engraved]:
    """A case through the stage, once for all tests of it."""

    @cache
    def run(name: str) -> Engraved:
        score, tonic = CASES[name](build)
        key = Pitch.parse(tonic)
        return engrave_in_key("case", "Case", score, chorus=chorus, tonic=key)

    return run


def show(page: Page, font: str, body: str, style: str = "") -> None:
    """Put a drawing alone on a page with the shipped font loaded."""
    page.set_content(
        f"<!doctype html><style>{font}body{{margin:16px;background:#fff}}"
        f"svg{{display:block}}{style}</style><body>{body}"
    )
    page.evaluate(f"document.fonts.load('20px \"{FAMILY}\"').then(() => document.fonts.ready)")


def picture(page: Page) -> Image.Image:
    return Image.open(io.BytesIO(page.screenshot())).convert("L")


#: What a browser knows of a drawing: the boxes of its texts and note heads, and of everything.
MEASURE = """
() => [...document.querySelectorAll('svg[role=img]')].map(svg => {
  const box = e => { const b = e.getBBox(); return [b.x, b.y, b.x + b.width, b.y + b.height]; };
  const texts = [...svg.querySelectorAll('text')];
  return {
    texts: texts.map(t => [t.textContent, +t.getAttribute('y'), ...box(t)]),
    signs: [...svg.querySelectorAll('use')].map(box),
    all: box(svg),
    view: svg.getAttribute('viewBox').split(' ').map(Number),
    shown: svg.getBoundingClientRect().width,
    size: texts.map(t => parseFloat(getComputedStyle(t).fontSize) * svg.getScreenCTM().a),
  };
})
"""


def measured(page: Page) -> list[dict[str, Any]]:
    """Of each drawing on the page."""
    found: list[dict[str, Any]] = page.evaluate(MEASURE)
    assert found
    return found


@pytest.mark.parametrize("name", CASES)
def test_nothing_lies_on_a_text_and_nothing_is_cut_off(
    name: str, page: Page, font: str, engraved: Callable[[str], Engraved]
) -> None:
    drawn = engraved(name)
    show(page, font, sprite(drawn.symbols) + drawn.wide + (drawn.narrow or ""))
    for drawing in measured(page):
        no_text_lies_on_another(drawing["texts"])
        no_syllable_lies_on_a_sign(drawing["texts"], drawing["signs"])
        left, top, width, height = drawing["view"]
        low_x, low_y, high_x, high_y = drawing["all"]
        assert left <= low_x < high_x <= left + width
        assert top <= low_y < high_y <= top + height
        assert high_y > top + height * 0.7  # nor is there a hole below


def no_text_lies_on_another(texts: list[Any]) -> None:
    for n, (word, line, left, _, right, _) in enumerate(texts):
        for other, on, start, _, end, _ in texts[n + 1 :]:
            apart = end <= left or right <= start or abs(on - line) >= LYRIC_SIZE * 0.8
            assert apart, f"{word!r} lies on {other!r}"


def no_syllable_lies_on_a_sign(texts: list[Any], signs: list[Any]) -> None:
    for word, line, left, _, right, _ in texts:
        top = line - LYRIC_SIZE * 0.45  # small letters; ascenders may reach a ledger line
        for sign in signs:
            beside = sign[2] <= left or right <= sign[0]
            assert beside or sign[3] <= top or line <= sign[1], f"a sign lies on {word!r}"


@pytest.fixture(scope="module")
def phone(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("name", CASES)
def test_a_phone_needs_no_sideways_scrolling(
    name: str, phone: Page, font: str, engraved: Callable[[str], Engraved]
) -> None:
    drawn = engraved(name)
    fit = "svg{max-width:100%;height:auto}"  # as the site's style sheet has it
    show(phone, font, sprite(drawn.symbols) + (drawn.narrow or drawn.wide), fit)
    (drawing,) = measured(phone)
    assert drawing["shown"] <= 358
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    lyrics = [size for size in drawing["size"] if size > 0]
    assert min(lyrics) >= 11.5  # bar numbers are a fifth smaller than the words


@pytest.mark.parametrize("ink", ["rgb(0, 0, 0)", "rgb(230, 220, 200)"])
def test_everything_follows_the_pages_colour(
    ink: str, page: Page, font: str, engraved: Callable[[str], Engraved]
) -> None:
    drawn = engraved("everything")
    dark = ink != "rgb(0, 0, 0)"
    style = f"body{{color:{ink};background:{'#111' if dark else '#fff'}}}"
    show(page, font, sprite(drawn.symbols) + drawn.wide, style)
    fills = page.evaluate(
        "() => [...document.querySelectorAll('svg[role=img] *')].flatMap(e => {"
        " const s = getComputedStyle(e); return [s.fill, s.stroke]; })"
    )
    assert set(fills) == {ink, "none"}
    if dark:
        assert picture(page).getextrema()[0] >= 0x10  # nothing stayed black
        assert picture(page).getextrema()[1] > 200


@pytest.mark.parametrize("name", CASES)
def test_the_compact_drawing_equals_the_engravers(
    name: str, page: Page, font: str, build: Any, chorus: Chorus
) -> None:
    """Pixel by pixel, but for what is meant to differ: extender lines are compared where they do
    not end early, and bar numbers do not stand in a drawing of one system."""
    score, tonic = CASES[name](build)
    mei = write_mei(write(score, chorus), Pitch.parse(tonic), Show())
    raw = raw_drawing(mei, engraver_options(mei) | {"mmOutput": False})
    compacted = draw(mei, Options())
    left, top, width, height = compacted.box
    size = f'width="{width / 25:.0f}" height="{height / 25:.0f}"'
    ours = (
        f'<svg {size} viewBox="{left} {top} {width} {height}" fill="currentColor" '
        f'font-family="{FAMILY}" font-size="{LYRIC_SIZE}">{compacted.body}</svg>'
    )
    theirs = raw.replace("<svg ", f"<svg {size} ", 1).replace("Times, serif", FAMILY)
    pictures = []
    for body in (sprite(compacted.symbols) + ours, sprite({}) + theirs):
        show(page, font, body)
        pictures.append(picture(page))
    difference = ImageChops.difference(*pictures)
    far = sum(difference.histogram()[64:])
    ink = sum(pictures[1].histogram()[:128])
    assert ink > 500
    assert far <= ink * 0.005, f"{far} of {ink} dark pixels differ"
