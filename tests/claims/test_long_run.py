"""Whole runs of more than an hour."""

from chorus_handbook.claims.long_run import check_long_run


def test_an_hour_passes(make):
    assert list(check_long_run(make.subject(facts=make.facts(length_seconds=3600.0)))) == []
    assert list(check_long_run(make.subject())) == []


def test_two_hours_do_not(make):
    (problem,) = check_long_run(make.subject(facts=make.facts(length_seconds=7200.0)))
    assert (problem.code, problem.severity) == ("sound-length", "notice")
    assert problem.message.startswith("All passes in 1 key last 120 min.")
