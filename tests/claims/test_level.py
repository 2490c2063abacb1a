"""The level stated against the one measured."""

from chorus_handbook.claims.level import check_level
from chorus_handbook.music.facts import Difficulty


def found(make, level, **features):
    facts = make.facts(difficulty=Difficulty(**features))
    return list(check_level(make.subject(facts=facts, level=level)))


def test_a_level_as_measured_or_higher_passes(make):
    assert found(make, 2, parts=2) == []
    assert found(make, 3, parts=2) == []


def test_a_lower_level_is_a_notice_that_says_why(make):
    (problem,) = found(make, 1, parts=3, length=2)
    assert (problem.code, problem.severity, problem.place.line) == ("level-claim", "notice", 8)
    assert problem.message == (
        "The level is stated as 1 (at once), but the notes are of level 3 (over some weeks), "
        "because of the parts (level 3) and the length (level 2)."
    )


def test_what_is_not_stated_or_not_measured_is_not_judged(make):
    assert found(make, None, parts=3) == []
    assert list(check_level(make.subject(level=1))) == []
