"""Whole runs of more than an hour."""

from chorus_handbook.claims.run_length import check_run_length


def test_an_hour_passes(make):
    assert list(check_run_length(make.subject(facts=make.facts(length_seconds=3600.0)))) == []
    assert list(check_run_length(make.subject())) == []


def test_two_hours_do_not(make):
    (problem,) = check_run_length(make.subject(facts=make.facts(length_seconds=7200.0)))
    assert (problem.code, problem.severity) == ("sound-length", "notice")
    assert problem.message.startswith(
        "In 1 key the exercise lasts 120 min, but a practice track can"
    )
