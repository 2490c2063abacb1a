"""What of the engraver's log may be the reason for a loss, and in what words."""

from __future__ import annotations

import pytest

from chorus_handbook.engraving.losses import reasons

TIES = "MusicXML import: There are 2 ties left open"


@pytest.mark.parametrize(
    "line",
    [
        TIES,
        "MusicXML import: slur 1 from measure 4 could not be ended",
        "Adding auxiliary KeySig for transposition",
        "Justification is highly compressed (0.5)",
        "System full width is 9",
        "Syllable with underline extender under one single note 'alto-1'",
    ],
)
def test_what_explains_no_loss_is_left_out(line: str) -> None:
    assert reasons([line]) == []


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            "MusicXML import: Multimetric music detected. Import cancelled.",
            "parts are in different meters at the same time",
        ),
        ("MusicXML import: Something new", "Something new"),
        ("Something else", "Something else"),
    ],
)
def test_a_reason_is_given_plainly_and_once(line: str, words: str) -> None:
    assert reasons([TIES, line, line]) == [words]
