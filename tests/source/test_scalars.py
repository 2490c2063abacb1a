"""Bare words, against the examples of YAML 1.2.2, section 10.3.2 (core schema)."""

from __future__ import annotations

import math

import pytest

from chorus_handbook.source.scalars import plain_scalar


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("null", None),
        ("Null", None),
        ("~", None),
        ("", None),
        ("true", True),
        ("True", True),
        ("FALSE", False),
        ("0", 0),
        ("0o7", 7),
        ("0x3A", 58),
        ("-19", -19),
        ("0.", 0.0),
        ("-0.0", -0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -200000.0),
        (".inf", math.inf),
        ("-.Inf", -math.inf),
        ("+.INF", math.inf),
    ],
)
def test_the_core_schema(text: str, value: object) -> None:
    assert plain_scalar(text) == value
    assert isinstance(plain_scalar(text), type(value))


@pytest.mark.parametrize(
    "word",
    ["no", "yes", "on", "off", "y", "n", "NO", "1:30", "190:20:30", "2024-05-01", "1_000", "0b1",
     "nULL", "tRUE", "1.2.3", "-", ".", "e3", "+", "0o8", "0xg", "C4", "1 2", "١"],
)  # fmt: skip
def test_traps_of_yaml_1_1_stay_words(word: str) -> None:
    assert plain_scalar(word) == word and type(plain_scalar(word)) is str


def test_not_a_number() -> None:
    value = plain_scalar(".NaN")
    assert isinstance(value, float) and math.isnan(value)


@pytest.mark.parametrize("text", ["1.10", "007", "1e3", "0x10", "+5", ".5"])
def test_a_number_keeps_how_it_was_written(text: str) -> None:
    assert str(plain_scalar(text)) == text


def test_plain_numbers_are_plain() -> None:
    assert type(plain_scalar("12")) is int and type(plain_scalar("1.5")) is float


def test_a_number_of_too_many_digits_stays_a_word() -> None:
    assert plain_scalar("9" * 100_000) == "9" * 100_000
