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
        "The sound alone takes 3 min 1 s (1 min 28 s a pass, 2 keys), longer than the 3 min stated."
    )
