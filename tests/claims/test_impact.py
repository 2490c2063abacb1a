"""The impact stated against the manner's lowest."""

from chorus_handbook.claims.impact import check_impact
from chorus_handbook.claims.subject import Subject


def test_the_lowest_itself_is_enough(make):
    assert list(check_impact(make.subject(impact=4, sounding="calling"))) == []


def test_below_the_lowest(make):
    (problem,) = check_impact(make.subject(impact=3, sounding="calling"))
    assert (problem.code, problem.place.line) == ("impact-lowest", 5)
    assert problem.message == (
        '"impact: 3" (light singing) is too low for an exercise with "sounding: calling", which '
        "has at least 4 (full singing)."
    )


def test_unknown_manner_or_vocabulary_is_not_judged(make):
    assert list(check_impact(make.subject(impact=1, sounding="whistling"))) == []
    assert list(check_impact(Subject(make.entry(impact=1)))) == []
