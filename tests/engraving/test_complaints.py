"""Which of the engraver's complaints matter, and in what words."""

from __future__ import annotations

import pytest

from chorus_handbook.engraving.complaints import complaints

TIES = "MusicXML import: There are 2 ties left open"


@pytest.mark.parametrize(
    "line",
    [
        TIES,
        "MusicXML import: slur 1 from measure 4 could not be ended",
        "MusicXML import: Unsupported direction-type 'harp-pedals'",
        "Adding auxiliary KeySig for transposition",
    ],
)
def test_what_a_score_can_be_sung_without_matters_in_no_file(line: str) -> None:
    assert complaints([line], about_file=True) == []
    assert complaints([line], about_file=False) == [line]


def test_spacing_never_matters() -> None:
    lines = ["Justification is highly compressed (0.5)", "System full width is 9"]
    assert complaints(lines, about_file=True) == complaints(lines, about_file=False) == []


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            "MusicXML import: Unsupported direction-type 'staff-divide'",
            "the engraver has no sign for “staff-divide”",
        ),
        (
            "MusicXML import: Multimetric music detected. Import cancelled.",
            "parts are in different meters at the same time",
        ),
        ("MusicXML import: Something new", "Something new"),
        ("Something else", "Something else"),
    ],
)
def test_what_matters_is_said_plainly_and_once(line: str, words: str) -> None:
    assert complaints([TIES, line, line], about_file=True) == [words]
