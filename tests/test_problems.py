"""What a problem is: a place, a code of the table, and an order."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.problems import CODES, Place, Problem, did_you_mean, has_errors

HERE = Place("handbook/exercises/a.md", 3, 7)


def problem(code: str, place: Place = HERE) -> Problem:
    return Problem(place, code, "Something is wrong.", "Do something else.")


def test_a_place_is_the_start_of_its_file_unless_it_says_more() -> None:
    assert Place("a.md") == Place("a.md", 1, 1)


def test_another_spot_of_the_same_file() -> None:
    assert HERE.at(9) == Place("handbook/exercises/a.md", 9, 1)
    assert HERE.at(9, 4) == Place("handbook/exercises/a.md", 9, 4)


def test_a_message_begins_with_the_bar_of_its_place() -> None:
    found = problem("fence", Place("a.musicxml", 3, 1, "bar 7 of Alto"))
    assert found.message == "Bar 7 of Alto: Something is wrong."
    assert replace(found, hint="Else.").message == found.message
    assert found.place == Place("a.musicxml", 3, 1)


@pytest.mark.parametrize("code", CODES)
def test_severity_belongs_to_the_code(code: str) -> None:
    assert problem(code).severity == CODES[code] in ("error", "notice")


@pytest.mark.parametrize("code", ["", "Fence", "fences", "html_unsafe"])
def test_a_code_stands_in_the_table(code: str) -> None:
    with pytest.raises(ValueError, match="not a problem code"):
        problem(code)


def test_problems_stand_in_file_order() -> None:
    spots = [("b.md", 1, 1), ("a.md", 10, 11), ("a.md", 10, 2), ("a.md", 2, 10)]
    found = sorted(problem("fence", Place(*spot)) for spot in spots)
    assert [(p.place.path, p.place.line, p.place.column) for p in found] == spots[::-1]


def test_only_errors_keep_a_handbook_from_being_published() -> None:
    notices = [problem(code) for code, severity in CODES.items() if severity == "notice"]
    assert notices and not has_errors(notices) and not has_errors([])
    assert has_errors([*notices, problem("fence")])
    assert has_errors(iter([problem("fence")]))


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("sumary", ' Did you mean "summary"?'),
        ("TITLE", ' Did you mean "title"?'),
        ("colour", ""),
        ("", ""),
        ("x" * 10_000, ""),
    ],
)
def test_a_likely_slip_is_named(word: str, meant: str) -> None:
    assert did_you_mean(word, ["title", "summary", "goals"]) == meant


def test_nothing_is_meant_where_nothing_is_known() -> None:
    assert did_you_mean("title", []) == ""
