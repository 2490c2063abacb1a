"""Extender lines that go on: their verses, and the room for them in systems without words."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree as ET

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import compact
from chorus_handbook.engraving.engine import raw_svg
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.notes import ExtenderLines
from chorus_handbook.engraving.written import write
from chorus_handbook.pitch import Pitch


def test_a_line_goes_on_for_as_many_notes_as_its_syllable_is_held(build: Any) -> None:
    lines = ExtenderLines()
    notes = [build.sung(0, 1, ["la__", "lu_"]), *build.scale(1, 2, 3)]
    assert [lines.at(note, first=True) for note in notes] == [[], [1, 2], [1], []]


def test_a_tie_carries_a_line_and_a_new_syllable_ends_it(build: Any) -> None:
    lines = ExtenderLines()
    assert lines.at(build.sung(0, 4, ["la__", "lu__"]), first=True) == []
    assert lines.at(build.sung(0, 4), first=False) == [1, 2]
    assert lines.at(build.sung(1, 1, ["mi", None]), first=True) == [2]
    assert lines.at(build.sung(1, 1), first=True) == [2]
    assert lines.at(build.sung(1, 1), first=True) == []


def test_inside_a_word_stand_hyphens_and_no_line(build: Any) -> None:
    lines = ExtenderLines()
    assert lines.at(build.sung(0, 1, ["glo-__", "la__"]), first=True) == []
    assert lines.at(build.sung(1, 1), first=True) == [2]


def systems(build: Any, chorus: Chorus, words: Any) -> tuple[str, str]:
    """Two staves in two systems, on a syllable sung at the very beginning: MEI and drawing."""
    line = [build.sung(0, 4, words), *build.scale(1, 2, 3, length=4)]
    marks = {"dynamics": (build.dynamic("f", 8),)}
    score = build.score([build.part("alto", line, **marks), build.part("bass", line, **marks)])
    mei = write_mei(write(score, chorus), Pitch.parse("C4"), Show(breaks=frozenset({2})))
    return mei, raw_svg(mei, 9000)


def test_the_lines_of_several_verses_have_room_in_a_system_without_words(
    build: Any, chorus: Chorus
) -> None:
    """Else the second line would lie in the marks of the staff below, or below the drawing."""
    mei, svg = systems(build, chorus, ["noo____", "vah____"])
    assert mei.count("\u00a0") == 2 * 2  # verses and staves
    root = ET.fromstring(svg)
    name = "{http://www.w3.org/2000/svg}"
    (second,) = [g for g in root.iter(f"{name}g") if g.get("class") == "system"][1:]
    rows = [float(rect.get("y", "0")) for rect in second.iter(f"{name}rect")]
    upper, lower = sorted(set(rows))[:2]
    dynamics = [
        use for g in second.iter(f"{name}g") if g.get("class") == "dynam" for use in g.iter()
    ]
    places = sorted(
        float(found[1])
        for use in dynamics
        if (found := re.match(r"translate\(\S+ ([\d.]+)\)", use.get("transform", "")))
    )
    assert upper < lower < places[-1] - 200  # a dynamic is some 300 units high
    picture = compact(svg)
    top, height = picture.box[1], picture.box[3]
    assert max(rows) + 80 <= top + height


def test_one_line_needs_no_help(build: Any, chorus: Chorus) -> None:
    mei, _ = systems(build, chorus, "noo____")
    assert "\u00a0" not in mei


def test_a_drawing_reaches_down_to_its_lowest_line() -> None:
    """The engraver's page ends above a line that it does not reckon with."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg"><defs/><svg viewBox="0 0 500 300">'
        '<g class="page-margin" transform="translate(20, 10)"><g class="system"><g class="measure">'
        '<g class="staff"><path d="M0 50 L400 50" stroke-width="13"/></g><g class="syl">'
        '<rect x="50" y="400" width="300" height="10"/></g></g></g></g></svg></svg>'
    )
    assert compact(svg).box == (-20, -10, 500, 410 + 80 + 10)
