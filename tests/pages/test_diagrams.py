"""Pictures of how a chorus stands."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import get_args

import pytest

from chorus_handbook.chorus.model import Diagram
from chorus_handbook.pages.diagrams import diagram


@pytest.mark.parametrize("kind", get_args(Diagram))
def test_every_standing_has_a_described_picture_inside_its_frame(kind: Diagram) -> None:
    picture = ET.fromstring(diagram(kind))
    assert picture.get("role") == "img"
    assert len(picture.get("aria-label", "").split()) > 4
    circles = picture.findall(".//circle")
    assert len(circles) >= 5
    for circle in circles:
        x, y, r = (float(circle.get(name, "")) for name in ("cx", "cy", "r"))
        assert 0 <= x - r and x + r <= 120 and 0 <= y - r and y + r <= 100
    ends = re.findall(r"L(-?[\d.]+) (-?[\d.]+)", diagram(kind))
    assert all(0 <= float(x) <= 120 and 0 <= float(y) <= 100 for x, y in ends)


@pytest.mark.parametrize("kind", get_args(Diagram))
def test_no_two_singers_stand_in_one_place(kind: Diagram) -> None:
    places = re.findall(r'cx="([\d.]+)" cy="([\d.]+)"', diagram(kind))
    points = [(float(x), float(y)) for x, y in places]
    for index, (x, y) in enumerate(points):
        for other_x, other_y in points[index + 1 :]:
            assert (x - other_x) ** 2 + (y - other_y) ** 2 >= 10**2
