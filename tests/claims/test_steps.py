"""The steps of "How to run it" against the minutes."""

from dataclasses import replace

import pytest

from chorus_handbook.claims.steps import check_steps
from chorus_handbook.entries import steps
from chorus_handbook.entries.rendering import render
from chorus_handbook.problems import Place


@pytest.fixture
def found(make):
    def check(*brackets, minutes=3):
        lines = [f"{n}. {bracket} Hum." for n, bracket in enumerate(brackets, 1)]
        text = "\n".join(["## How to run it", *lines])
        body, _ = render(text, Place("handbook/x.md", 19))
        subject = make.subject(minutes=minutes)
        entry = subject.entry
        source = replace(entry.source, text=text, first_line=19, body=body)
        return list(check_steps(replace(subject, entry=replace(entry, source=source))))

    return check


def test_from_half_of_the_minutes_to_a_tenth_more(found):
    assert found("(90 s)") == found("(1 min)", "(138 s)") == []
    assert [p.code for p in found("(89 s)")] == ["steps-claim"]
    (problem,) = found("(1 min)", "(139 s)")
    assert (problem.code, problem.severity, problem.place.line) == ("steps-claim", "notice", 20)
    assert problem.message == (
        'The steps add up to 3 min 19 s. With "minutes: 3" they should take between 1 min 30 s and '
        "3 min 18 s."
    )
    assert problem.hint == 'Change the times of the steps, or write "minutes: 3.5".'


def test_the_minutes_that_are_proposed_would_do(found):
    for seconds in (5, 29, 30, 31, 60, 89, 200, 239, 1000):
        for problem in found(f"({seconds} s)"):
            proposed = float(problem.hint.rpartition(" ")[2].rstrip('".'))
            assert found(f"({seconds} s)", minutes=proposed) == [] or seconds < 15


def test_steps_without_any_time_are_not_judged(found):
    assert found() == found("") == found("(optional)", "") == []


def test_a_step_without_a_time_among_others(found):
    (problem,) = found("(60 s)", "", "(60 s)")
    assert (problem.code, problem.severity, problem.place.line) == ("step-time", "notice", 21)
    assert problem.message == "Step 2 has no time, although other steps have."


def test_a_time_that_is_none(found):
    (problem,) = found("(9,999 s)", "(60 s)")
    assert problem.message == (
        '"(9,999 s)" in step 1 cannot be read as a time. '
        "A time has minutes, seconds or both, in digits without a comma."
    )
    assert [problem.place.line for problem in found("(soon)", "(5 lots)")] == [20, 21]


def test_a_step_of_hours(found):
    (problem,) = found("(9999 s)", "(60 s)")
    assert (problem.code, problem.message) == (
        "step-time",
        "Step 1 takes 166 min 39 s, which is more than an hour.",
    )
    assert problem.hint.startswith("Write a shorter time, ")


def test_headings_are_known_in_english_and_in_the_language_of_the_handbook(monkeypatch):
    monkeypatch.setattr(steps, "_", {"How to run it": "So geht es"}.get)
    assert steps.is_heading("SO GEHT ES", steps.RUN) and steps.is_heading(
        "how to run it", steps.RUN
    )
    assert not steps.is_heading("So", steps.RUN) and not steps.is_heading("", steps.RUN)
    assert steps.is_heading("", "")
