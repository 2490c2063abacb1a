"""Where the measures of a drawing lie: the same by its text as by its elements."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import UnknownDrawingError, compact
from chorus_handbook.engraving.engine import raw_svg
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.pitch import Pitch

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def mei(build: Any, chorus: Chorus) -> str:
    line = [build.rest(1), *build.scale(0, 4, 2), *build.scale(*[1] * 8)]
    score = build.score([build.part("alto", line), build.part("bass", line)], meter="12/8")
    return write_mei(write(score, chorus), Pitch.parse("Eb4"), Show(breaks=frozenset({1})))


def test_measures_lie_where_their_staff_lines_do(mei: str) -> None:
    svg = raw_svg(mei, 9000)
    systems = [g for g in ET.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "system"]
    found = []
    for n, system in enumerate(systems):
        for measure in (g for g in system.iter(f"{SVG}g") if g.get("class") == "measure"):
            staff = next(g for g in measure if "staff" in g.get("class", ""))
            line = staff.find(f"{SVG}path")
            assert line is not None
            left, right = (p.split()[0] for p in line.get("d", "")[1:].split(" L"))
            found.append((n, float(left), float(right)))
    assert len(found) == 2 and found[-1][0] == 1
    assert compact(svg).measures == found


def test_the_lead_ends_where_the_meter_begins(mei: str) -> None:
    svg = raw_svg(mei)
    meters = [g for g in ET.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "meterSig"]
    places = [
        float(use.get("transform", "").partition("(")[2].partition(",")[0])
        for meter in meters
        for use in meter
    ]
    assert len(places) == 6  # 1, 2 and 8 on either staff
    found = compact(svg)
    assert found.lead == min(places) - found.measures[0][1] > 0


@pytest.mark.parametrize("svg", ["", "<svg/>", '<svg class="definition-scale"></svg>'])
def test_what_is_no_drawing_is_refused(svg: str) -> None:
    with pytest.raises(UnknownDrawingError, match="no page"):
        compact(svg)
