"""The font that is shipped: what it can write, how wide it is, what it says of itself."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import verovio
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont

from chorus_handbook.engraving.lyric_font import FAMILY, FONT_FILE, LICENCE_FILE
from chorus_handbook.engraving.make_lyric_font import make


@pytest.fixture(scope="module")
def woff2() -> bytes:
    return FONT_FILE.read_bytes()


@pytest.fixture(scope="module")
def font(woff2: bytes) -> TTFont:
    return TTFont(io.BytesIO(woff2))


def test_it_writes_the_languages_of_europe(font: TTFont) -> None:
    known = font.getBestCmap()
    for text in (
        "Slack water",
        "naïve Ångström œuvre",
        "žluťoučký kůň",
        "“mee” – ‘moh’ …",
        "ɑ ɛ ɪ ʊ ʃ ŋ",
    ):
        assert all(ord(letter) in known for letter in text), text


def test_it_is_small(woff2: bytes) -> None:
    assert woff2[:4] == b"wOF2"
    assert len(woff2) < 30_000


def test_its_widths_are_those_the_engraver_spaces_for(font: TTFont) -> None:
    """verovio ships the widths it reckons with (data/text/Times.xml, 2048 units an em)."""
    data = Path(verovio.__file__).parent / "data" / "text" / "Times.xml"
    root = ET.parse(data).getroot()
    units = float(root.get("units-per-em", "0"))
    # a few letters, such as A and w, state no advance there
    stated = ((g.get("c", ""), float(g.get("h-a-x", "0")) / units) for g in root.iter("g"))
    spaced = {chr(int(code, 16)): width for code, width in stated if width}
    metrics, known = font["hmtx"], font.getBestCmap()
    letters = [c for c in spaced if c.isascii() and (c.isalpha() or c in " ,.-'")]
    assert len(letters) > 40
    for letter in letters:
        shipped = metrics[known[ord(letter)]][0] / font["head"].unitsPerEm
        assert shipped == pytest.approx(spaced[letter], abs=0.017), letter  # a sixtieth of an em


def test_it_says_whose_it_is_and_on_what_terms(font: TTFont) -> None:
    """The licence (SIL OFL 1.1, 2 and 3): the copyright stays, the reserved name goes."""
    names = {record.nameID: str(record) for record in font["name"].names}
    assert "STI Pub Companies" in names[0]
    assert "SIL Open Font License, Version 1.1" in names[13]
    for name in (1, 3, 4, 6):
        assert "STIX" not in names[name]
    assert names[1] == FAMILY


def outlines(font: TTFont) -> dict[int, list[tuple[str, tuple[object, ...]]]]:
    """What is drawn for each character, by its code."""
    glyphs, found = font.getGlyphSet(), {}
    for code, name in font.getBestCmap().items():
        pen = RecordingPen()
        glyphs[name].draw(pen)
        found[code] = [("advance", (glyphs[name].width,)), *pen.value]
    return found


def test_made_again_it_is_the_same(font: TTFont) -> None:
    """By glyphs and advances: packed, it differs between versions of the compressor."""
    woff2, licence = make()
    again = TTFont(io.BytesIO(woff2))
    assert len(outlines(font)) > 400
    assert outlines(font) == outlines(again)
    assert licence == LICENCE_FILE.read_bytes()


def test_its_licence_can_go_out_beside_it(font: TTFont) -> None:
    """The SIL Open Font License 1.1, condition 2: each copy holds copyright notice and licence."""
    text = LICENCE_FILE.read_text("utf-8")
    assert FAMILY in text
    assert "SIL OPEN FONT LICENSE Version 1.1" in text and "PERMISSION & CONDITIONS" in text
    holder = "STI Pub Companies"
    assert holder in text and holder in str(font["name"].getDebugName(0))
