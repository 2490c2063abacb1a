"""The font that is shipped: what it can write, how wide it is, what it says of itself."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import verovio
from fontTools.ttLib import TTFont

from chorus_handbook.cache import Cache
from chorus_handbook.engraving.lyric_font import FAMILY, lyric_font, lyric_font_licence


@pytest.fixture(scope="module")
def woff2() -> bytes:
    return lyric_font(Cache(None))


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


def test_it_is_the_same_on_every_build_and_kept(woff2: bytes, tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    assert lyric_font(cache) == woff2
    script = (
        "import sys, hashlib, pathlib\n"
        "from chorus_handbook.cache import Cache\n"
        "from chorus_handbook.engraving.lyric_font import lyric_font\n"
        "kept = Cache(pathlib.Path(sys.argv[1])) if sys.argv[1] else Cache(None)\n"
        "print(hashlib.sha256(lyric_font(kept)).hexdigest(), 'fontTools' in sys.modules)\n"
    )
    digest = hashlib.sha256(woff2).hexdigest()
    for folder, imported in (("", True), (str(tmp_path), False)):
        done = subprocess.run(
            [sys.executable, "-c", script, folder],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": "7"},
        )
        assert done.stdout.split() == [digest, str(imported)]
        assert not done.stderr


def test_its_licence_can_go_out_beside_it(font: TTFont) -> None:
    """The SIL Open Font License 1.1, condition 2: each copy holds copyright notice and licence."""
    text = lyric_font_licence().decode()
    assert FAMILY in text
    assert "SIL OPEN FONT LICENSE Version 1.1" in text and "PERMISSION & CONDITIONS" in text
    holder = "STI Pub Companies"
    assert holder in text and holder in str(font["name"].getDebugName(0))
