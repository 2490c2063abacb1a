"""Numbers as authors write them."""

import pytest

from chorus_handbook.views.conditions import read_number, write_number


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [
        ("3", "count", 3),
        (" 3 ", "count", 3),
        ("3.0", "count", 3),
        ("12", "semitones", 12),
        ("m10", "semitones", 15),
        ("C4", "pitch", 60),
        ("A4", "pitch", 69),
        ("A4", "semitones", 6),
        ("0.125", "decimal", 125),
        ("75%", "share", 750),
        ("12.5 %", "share", 125),
    ],
)
def test_numbers(text, unit, number):
    assert read_number(text, unit) == number


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", "count"),
        ("3.5", "count"),
        ("three", "count"),
        ("1e3", "decimal"),
        ("0.1234", "decimal"),
        ("5 %", "decimal"),
        ("P4", "pitch"),
        ("H4", "pitch"),
        ("C4", "semitones"),
        ("0.05 %", "share"),
        ("9999999", "count"),
        ("٣", "count"),
    ],
)
def test_what_is_no_number(text, unit):
    with pytest.raises(ValueError, match=r"is |has more|cannot be read"):
        read_number(text, unit)


def test_telling():
    assert write_number(60000, "decimal") == "60"
    assert write_number(2500, "decimal") == "2.5"
    assert write_number(5, "count") == "5"
