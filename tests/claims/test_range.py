"""The range claim against the widest voice."""

import pytest

from chorus_handbook.claims.range import check_range


@pytest.mark.parametrize("claim", ["A4", "d5"])
def test_true_claim_passes_in_either_spelling(make, claim):
    facts = make.facts({"soprano": {"low": "F4", "high": "B4"}})
    assert list(check_range(make.subject(facts=facts, range=claim))) == []


def test_false_claim_names_interval_voice_and_notes(make):
    facts = make.facts(
        {"soprano": {"low": "C4", "high": "E4"}, "alto": {"low": "E3", "high": "C4"}}
    )
    (problem,) = check_range(make.subject(facts=facts, range="P5"))
    assert problem.code == "range-claim"
    assert problem.place.line == 8
    assert problem.message == (
        "The range is stated as a fifth, but alto has a range of a minor sixth, "
        "from E3 to C4 in the first key."
    )
    assert "range: m6" in problem.hint


def test_leader_is_no_voice_of_the_chorus(make):
    facts = make.facts({"leader": {"low": "C4", "high": "C5"}, "alto": {"low": "C4", "high": "G4"}})
    assert list(check_range(make.subject(facts=facts, range="P5"))) == []


def test_speech_has_no_range(make):
    facts = make.facts({"alto": {"low": None, "high": None}})
    (problem,) = check_range(make.subject(facts=facts, range="P1"))
    assert "no voice of the chorus sings a pitch" in problem.message


def test_nothing_stated_or_measured_is_nothing_to_check(make):
    facts = make.facts({"alto": {"low": "C4", "high": "G4"}})
    assert list(check_range(make.subject(facts=facts))) == []
    assert list(check_range(make.subject(range="P5"))) == []
