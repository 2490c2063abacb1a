"""What ABC says of the look of notes and is drawn so (the ABC standard 2.1)."""

from __future__ import annotations

import re

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engine import draw, raw_svg
from chorus_handbook.engraving.mei import write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place


@pytest.mark.parametrize(
    ("written", "attributes"),
    [
        ("M:C", ' meter.count="4" meter.unit="4" meter.sym="common"'),
        ("M:C|", ' meter.count="2" meter.unit="2" meter.sym="cut"'),
        ("M:4/4", ' meter.count="4" meter.unit="4"'),
    ],
)
def test_a_meter_is_drawn_as_it_is_written(written: str, attributes: str, chorus: Chorus) -> None:
    """ABC 2.1, section 3.1.6: C and C| are signs of their own."""
    text = f"{written}\nL:1/4\nK:C\nCDEF | G4 |\n"
    score, _ = read_abc(Notation("abc", text, Place("x")), chorus, ("soprano",))
    assert score is not None
    mei = write_mei(write(score, chorus), Pitch.parse("C4"))
    assert f"<scoreDef{attributes}>" in mei
    assert draw(mei).body


def test_invisible_rests_take_room_and_are_not_drawn(chorus: Chorus) -> None:
    """ABC 2.1, section 4.5: x and X are silent like z and Z, and not printed."""
    text = "M:4/4\nL:1/4\nK:C\nC x z x | X | Z | x2 z2 |\n"
    score, _ = read_abc(Notation("abc", text, Place("x")), chorus, ("soprano",))
    assert score is not None
    mei = write_mei(write(score, chorus), Pitch.parse("C4"))
    found = re.findall(
        r"<(space|rest|mSpace|mRest)\b[^>]*?(?: dur=\"(\d)\")?(?: dots=\"1\")?/>", mei
    )
    assert found == [
        ("space", "4"), ("rest", "4"), ("space", "4"), ("mSpace", ""), ("mRest", ""),
        ("space", "2"), ("rest", "2"),
    ]  # fmt: skip
    assert raw_svg(mei).count('class="rest"') == 2
