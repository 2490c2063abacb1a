"""What is kept of the engraver's drawing, and what is mended."""

from __future__ import annotations

import gzip
import re
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import Svg, UnknownDrawingError, compact
from chorus_handbook.engraving.engine import raw_svg
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

PAGE = (
    '<svg xmlns="http://www.w3.org/2000/svg">'
    '<defs><g id="E0A4-abc"><path d="M0 0h9v9z"/></g></defs><svg viewBox="0 0 500 300">'
    '<g class="page-margin" transform="translate(20, 10)">{}</g></svg></svg>'
)
SYSTEM = (
    '<g class="system"><g class="measure"><g class="staff"><path d="M0 50 L400 50" '
    'stroke-width="13"/></g>{}</g></g>'
)


def compacted(inside: str, suffix: str = "", ids: bool = True) -> Svg:
    return compact(PAGE.format(inside), suffix, ids)


def drawn(score: Score, chorus: Chorus, show: Show | None = None, width: int | None = None) -> str:
    written = write(score, chorus)
    return raw_svg(write_mei(written, Pitch.parse("C4"), show or Show()), width)


def test_notes_keep_their_ids_and_nothing_else_does() -> None:
    note = '<g id="alto-1" class="note"><g id="q7" class="notehead">{}</g></g>'
    use = '<use href="#E0A4-abc" transform="translate(70, 40) scale(0.72, 0.72)"/>'
    inside = note.format(use)
    shown = '<use href="#glyph-E0A4" x="70" y="40"/>'
    assert compacted(inside).body == f'<g id="alto-1">{shown}</g>'
    assert compacted(inside, suffix=".n").body == f'<g id="alto-1.n">{shown}</g>'
    assert compacted(inside, ids=False).body == f"<g>{shown}</g>"


def test_glyphs_go_into_the_sprite_scaled() -> None:
    uses = [
        f'<use href="#E0A4-abc" transform="translate(0, 0) scale({s}, {s})"/>'
        for s in ("0.72", "0.5", "0.72")
    ]
    picture = compacted("".join(uses))
    assert picture.symbols == {
        "glyph-E0A4": '<path id="glyph-E0A4" transform="scale(.72,-.72)" d="M0 0h9v9z"/>',
        "glyph-E0A4-0-5": '<path id="glyph-E0A4-0-5" transform="scale(.5,-.5)" d="M0 0h9v9z"/>',
    }


def test_the_margin_goes_into_the_view_box() -> None:
    assert compacted("").box == (-20, -10, 500, 300)


def test_texts_lose_their_spans() -> None:
    text = (
        '<g class="label"><text x="9" y="8" text-anchor="end" font-size="0px"><tspan class="text">'
        '<tspan font-size="405px">A &amp; B,</tspan></tspan><tspan class="lb"/><tspan x="9" y="30">'
        '<tspan font-size="324px">C</tspan></tspan></text></g>'
    )
    assert compacted(text).body == (
        '<text x="9" y="8" text-anchor="end">A &amp; B,</text>'
        '<text x="9" y="30" font-size="324" text-anchor="end">C</text>'
    )


def test_bar_numbers_begin_where_the_staff_does_clear_of_clef_and_bracket() -> None:
    text = '<text x="9" y="800" text-anchor="middle"><tspan font-size="324px">12</tspan></text>'
    number = f'<g class="mNum">{text}</g>'
    assert '<text x="9" y="730" font-size="324">12</text>' in compacted(number).body
    tip = '<use href="#E0A4-x" transform="translate(5, 900) scale(0.72, 0.72)"/>'
    bracketed = compacted(f'<g class="grpSym">{tip}</g>{number}').body
    assert '<text x="9" y="625" font-size="324">12</text>' in bracketed


def test_an_extender_that_goes_on_begins_with_the_first_note_of_its_system() -> None:
    head = '<use href="#E0A4-x" transform="translate(120, 90) scale(1, 1)"/>'
    note = f'<g class="notehead">{head}</g>'
    line = '<g class="syl"><rect x="20" y="200" width="300" height="22"/></g>'
    hyphen = '<g class="syl"><rect x="20" y="200" width="98" height="22"/></g>'
    assert "M120 200h200v22h-200z" in compacted(f'<g class="note">{note}</g>{line}').body
    assert "M20 200h98v22h-98z" in compacted(f'<g class="note">{note}</g>{hyphen}').body


@pytest.mark.parametrize(("width", "length"), [(300, 210), (150, 150), (600, 210)])
def test_an_extender_line_ends_before_the_next_syllable(width: int, length: int) -> None:
    first = '<text x="0" y="200"><tspan>ah</tspan></text>'
    first += f'<rect x="80" y="180" width="{width}" height="22"/>'
    later = '<text x="400" y="200"><tspan>oh</tspan></text>'
    body = compacted(SYSTEM.format(f'<g class="syl">{first}{later}</g>')).body
    assert f"M80 180h{length}v22" in body


def test_an_extender_line_ends_with_its_system() -> None:
    line = (
        '<text x="0" y="200"><tspan>ah</tspan></text><rect x="80" y="180" width="600" height="22"/>'
    )
    assert "M80 180h320v22" in compacted(SYSTEM.format(f'<g class="syl">{line}</g>')).body


@pytest.mark.parametrize(
    "inside",
    [
        "<image/>",
        "<line/>",
        '<g class="arpeg" transform="scale(2)"><path d="M0 0 L9 9"/></g>',
        '<text x="1" y="1"><tspan font-family="Leipzig" font-size="720px">\uf8fe</tspan></text>',
        '<use href="#FFFF-abc" transform="translate(0, 0) scale(1, 1)"/>',
        '<use href="#E0A4-abc" transform="rotate(9)"/>',
        '<g class="measure"></g>',
    ],
)
def test_what_is_not_known_is_no_picture(inside: str) -> None:
    with pytest.raises(ValueError, match="engraver"):
        compacted(inside)


def test_a_page_without_a_drawing_is_no_picture() -> None:
    with pytest.raises(UnknownDrawingError):
        compact('<svg xmlns="http://www.w3.org/2000/svg"/>')


def test_only_notes_that_are_listed_keep_their_ids() -> None:
    notes = "".join(f'<g id="{n}" class="note"><path d="M0 0 L9 9"/></g>' for n in "ab")
    picture = compact(PAGE.format(notes), ids={"b"})
    assert re.findall("<g[^>]*>", picture.body) == ["<g>", '<g id="b">']


def test_what_is_hidden_is_not_drawn() -> None:
    shape = '<path d="M0 0 L9 9"/>'
    assert compacted(f'<g class="note" visibility="hidden">{shape}</g>').body == ""


def test_what_is_turned_stays_turned() -> None:
    shape = '<g class="arpeg" transform="rotate(-90.0 7,8)"><path d="M0 0 L9 9"/></g>'
    assert compacted(shape).body.startswith('<g transform="rotate(-90.0 7,8)"><path ')


def test_dashes_are_kept() -> None:
    line = '<path d="M0 5 L90 5" stroke-width="9" stroke-dasharray="36 72"/>'
    assert compacted(line).body == (
        '<path fill="none" stroke="currentColor" stroke-width="9" stroke-dasharray="36 72" '
        'd="M0 5L90 5"/>'
    )


def test_frames_are_lines_and_dots_are_filled() -> None:
    frame = '<{} stroke-width="20" fill-opacity="0" {}/>'
    box = frame.format("rect", 'x="1" y="2" width="30" height="40"')
    assert 'fill="none"' in compacted(box).body
    ring = compacted(frame.format("ellipse", 'cx="50" cy="20" rx="30" ry="10"')).body
    assert 'd="M20 20a30 10 0 1 1 60 0a30 10 0 1 1 -60 0z"' in ring
    assert 'fill="none"' in ring
    dot = compacted('<ellipse cx="1" cy="2" rx="3" ry="3"/>').body
    assert dot == '<circle cx="1" cy="2" r="3"/>'


def test_names_that_reach_beyond_the_side_widen_the_drawing() -> None:
    name = '<g class="label"><text x="{}" y="9" text-anchor="end"><tspan>Soprano</tspan></text></g>'
    left, top, width, height = compacted(name.format(400)).box
    assert left < -400 < 0 < left + width
    assert (top, height) == (-10, 300)


def test_every_colour_is_the_pages(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 6, "la", glide_at=5), build.sung(4, 2, "lu")]
    part = build.part("alto", events, dynamics=(build.dynamic("<", 0, 4),))
    body = compact(drawn(build.score([part]), chorus)).body
    colours = set(re.findall(r'(?:fill|stroke|color)="([^"]*)"', body))
    assert colours == {"currentColor", "none"}


def test_measures_and_systems_are_told(build: Any, chorus: Chorus) -> None:
    score = build.score([build.part("alto", build.scale(*range(12)))])
    picture = compact(drawn(score, chorus, Show(breaks=frozenset({2})), width=9000))
    assert [system for system, _, _ in picture.measures] == [0, 0, 1]
    assert picture.measures[0][2] == picture.measures[1][1]
    assert 500 < picture.lead < 1500


def test_a_typical_score_takes_little_more_than_a_kilobyte(build: Any, chorus: Chorus) -> None:
    """The limits are ours: measured when they were set, 1.2 kB against the engraver's 5.9."""
    events = [build.sung(n, 1, "noo_______" if n == 0 else None) for n in range(8)]
    score = build.score(build.together(list(chorus.voices), events))
    raw = drawn(score, chorus)
    small = len(gzip.compress(compact(raw).body.encode()))
    assert small < 1300
    assert small < len(gzip.compress(raw.encode())) / 3


def test_the_result_is_well_formed(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, "<&>"), build.sung(1, 2, '"')]
    body = compact(drawn(build.score([build.part("alto", events)]), chorus)).body
    root = ET.fromstring(f"<svg>{body}</svg>")
    assert [t.text for t in root.iter("text")] == ["Alto", "<&>", '"']
