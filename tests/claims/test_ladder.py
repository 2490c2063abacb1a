"""Keys beyond the voices' ranges."""

from __future__ import annotations

import pytest

from chorus_handbook.pipeline import check


def found(project, keys, more=""):
    """The findings about keys in the one exercise of the project: 1 2 3 2 1 for all."""
    root = project / "handbook"
    exercise = root / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    exercise.write_text(text.replace("keys: C4 up to D4", f"keys: {keys}{more}"), encoding="utf-8")
    return [p for p in check(root) if p.code.startswith("ladder")]


def test_keys_within_comfort_pass(project):
    assert found(project, "C4 up to Ab4") == []


def test_the_edge_is_a_notice_and_names_who(project):
    (problem,) = found(project, "C4 up to B4")
    assert (problem.code, problem.severity) == ("ladder-edge", "notice")
    assert (
        problem.message
        == "In the key A4, alto and bass sustain notes outside the comfortable range."
    )
    assert (problem.place.line, problem.place.column) == (9, 7)


@pytest.mark.parametrize("word", ["allowed", "octave"])
def test_who_may_step_out_needs_no_advice(project, word):
    assert found(project, "C4 up to Eb5", f"\nstep_out: {word}") == []


def test_beyond_the_limits_is_an_error_with_note_and_limit(project):
    (problem,) = found(project, "C4 up to Eb5")
    assert (problem.code, problem.severity) == ("ladder-out", "error")
    assert problem.message == (
        "In Db5, key 14 of 16, alto would sing up to F5, above its limit E5; "
        "bass would sing up to F4, above its limit E4."
    )
    assert problem.hint.startswith(
        'Let the keys after "keys:" end with "C5", or write "step_out: allowed"'
    )


def test_too_low_is_told_as_well(project):
    (problem,) = found(project, "C4 down to G3")
    assert "soprano would sing down to Ab3, below its limit A3" in problem.message


def test_a_key_for_nobody_is_an_error_even_where_singers_may_leave(project):
    (problem,) = found(project, "C4 up to C6", "\nstep_out: allowed")
    assert problem.code == "ladder-out" and "nobody can sing" in problem.message
    assert problem.hint == 'Let the keys after "keys:" end with "F5".'


def test_a_start_for_nobody_is_an_error(project):
    (problem,) = found(project, "C7", "\nstep_out: allowed")
    assert (problem.code, problem.severity) == ("ladder-start", "error")
