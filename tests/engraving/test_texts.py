"""Words, and musical signs among them."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.engraving.texts import Font, Sign, TextLine, lines

QUARTER, SHARP = "\ueca5", "\uea66"


def read(inside: str, kind: str = "", anchor: str = "start") -> list[TextLine]:
    text = ET.fromstring(f'<text x="100" y="50" font-size="0px">{inside}</text>')
    return lines(text, Font().inside(kind), anchor)


def music(letters: str) -> str:
    return f'<tspan font-family="Leipzig" font-size="720px">{letters}</tspan>'


def words(text: str, more: str = "") -> str:
    return f'<tspan{more}><tspan font-size="405px">{text}</tspan></tspan>'


def test_words_stay_one_text() -> None:
    (line,) = read(words("a &amp; b"))
    assert list(line.pieces()) == ['<text x="100" y="50">a &amp; b</text>']


@pytest.mark.parametrize(
    ("kind", "style"),
    [
        ("tempo", ' font-weight="bold"'),
        ("reh", ' font-weight="bold"'),
        ("dir", ' font-style="italic"'),
        ("mNum", ""),
        ("syl", ""),
    ],
)
def test_the_engravers_styles_become_attributes(kind: str, style: str) -> None:
    (line,) = read(words("x"), kind)
    assert list(line.pieces()) == [f'<text x="100" y="50"{style}>x</text>']


def test_a_change_of_style_inside_a_text() -> None:
    (line,) = read(words("a") + words("b", ' font-weight="bold"'))
    assert list(line.pieces()) == [
        '<text x="100" y="50"><tspan>a</tspan><tspan font-weight="bold">b</tspan></text>'
    ]


def test_a_sign_of_music_stands_among_the_words() -> None:
    (line,) = read(music(QUARTER) + words(" = 60"))
    sign, text = line.pieces()
    assert isinstance(sign, Sign) and isinstance(text, str)
    assert (sign.code, sign.x, sign.y, sign.scale) == ("ECA5", 100, "50", 0.72)
    assert sign.outline.startswith("M")
    # a quarter note is 302 thousandths wide in the music font, a blank a quarter of the words' size
    assert text == f'<text x="{100 + 302 * 0.72 + 405 / 4:.1f}" y="50">= 60</text>'


@pytest.mark.parametrize(("anchor", "share"), [("start", 0), ("middle", 0.5), ("end", 1)])
def test_words_with_signs_are_set_about_their_anchor(anchor: str, share: float) -> None:
    (line,) = read(words("C") + music(SHARP), anchor=anchor)
    first, sign = line.pieces()
    left, right = line.edges()
    assert left == pytest.approx(100 - share * (right - left))
    assert isinstance(first, str) and isinstance(sign, Sign)
    assert f'x="{left:g}"' in first.replace(f"{left:.1f}", f"{left:g}")
    assert left < sign.x < right


def test_lines_that_are_blank_are_left_out() -> None:
    found = read(words(" ") + '<tspan class="lb"/><tspan x="7" y="90">' + words("low") + "</tspan>")
    assert [list(line.pieces()) for line in found] == [['<text x="7" y="90">low</text>']]


def test_a_sign_that_the_font_lacks_is_an_error() -> None:
    (line,) = read(music("\uf8fe"))
    with pytest.raises(ValueError, match="F8FE"):
        list(line.pieces())
