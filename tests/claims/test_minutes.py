"""The minutes stated against the length of the sound."""

from chorus_handbook.claims.minutes import check_minutes
from chorus_handbook.pitch import Pitch


def test_sound_that_fits_passes(make):
    assert list(check_minutes(make.subject(facts=make.facts(length_seconds=180.0)))) == []
    assert list(check_minutes(make.subject())) == []


def test_longer_sound_is_a_notice_with_its_parts(make):
    keys = (Pitch.parse("C4"), Pitch.parse("Db4"))
    facts = make.facts(length_seconds=180.2, seconds_per_pass=88.0, keys=keys)
    (problem,) = check_minutes(make.subject(facts=facts))
    assert (problem.code, problem.severity, problem.place.line) == ("minutes-claim", "notice", 7)
    assert problem.message == (
        '"minutes: 3" is less than the singing alone takes: 3 min 1 s (2 keys, 1 min 28 s each '
        "time through)."
    )


def test_known_minutes_hold_the_sound_too(make):
    facts = make.facts(length_seconds=100.0)
    assert list(check_minutes(make.subject(facts=facts, known=2))) == []
    (problem,) = check_minutes(make.subject(facts=facts, known=1.5))
    assert (problem.code, problem.place.line) == ("minutes-claim", 8)
    assert '"known: 1.5" is less than the singing alone takes' in problem.message


def test_sound_longer_than_both_times_is_said_once(make):
    facts = make.facts(length_seconds=300.0)
    (problem,) = check_minutes(make.subject(facts=facts, known=2))
    assert problem.place.line == 7


def test_what_is_known_takes_no_longer_than_what_is_new(make):
    (problem,) = check_minutes(make.subject(known=4))
    assert (problem.code, problem.place.line) == ("minutes-claim", 8)
    assert problem.message == (
        "The exercise takes 4 min once it is known, which is longer than the 3 min of the first "
        "time."
    )
