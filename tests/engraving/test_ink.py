"""Lines and areas in as few paths as possible."""

from __future__ import annotations

from chorus_handbook.engraving.ink import Ink, Pen, number, polygon, rectangle


def test_staff_lines_that_touch_become_one() -> None:
    ink = Ink()
    for start, end in ((0, 100), (100, 250), (300, 400)):
        ink.line((start, 50), (end, 50), "13")
    assert ink.markup() == (
        '<path stroke="currentColor" stroke-width="13" d="M0 50h250M300 50h100"/>'
    )


def test_upright_lines_are_drawn_downwards() -> None:
    ink = Ink()
    ink.line((10, 90), (10, 20), "18")
    assert ink.markup() == '<path stroke="currentColor" stroke-width="18" d="M10 20v70"/>'


def test_all_areas_turn_the_same_way() -> None:
    clockwise = [(0.0, 0.0), (10.0, 0.0), (10.0, 5.0)]
    assert polygon(clockwise) == "M0 0L10 0L10 5z"
    assert polygon(clockwise[::-1]) == "M0 0L10 0L10 5z"
    assert rectangle(0, 0, 4, 2) == "M0 0h4v2h-4z"  # right, down, left


def test_strokes_are_gathered_by_their_pen() -> None:
    ink = Ink()
    thin, thick = Pen("9", filled=True), Pen("27", "round")
    ink.stroke(thick, "M0 0L1 1")
    ink.stroke(thin, "M2 2C3 3 4 4 5 5")
    ink.stroke(thick, "M6 6L7 7")
    assert ink.markup() == (
        '<path fill="none" stroke="currentColor" stroke-width="27" stroke-linecap="round"'
        ' d="M0 0L1 1M6 6L7 7"/>'
        '<path stroke="currentColor" stroke-width="9" d="M2 2C3 3 4 4 5 5"/>'
    )


def test_nothing_makes_no_markup() -> None:
    assert Ink().markup() == ""


def test_coordinates_are_short() -> None:
    assert [number(n) for n in (1.0, -0.0, 2.25, 123456.0, 0.5)] == [
        "1",
        "0",
        "2.2",
        "123456",
        "0.5",
    ]
