"""Answers to notices, through the whole stage."""

import pytest

from chorus_handbook.chorus import Setting
from chorus_handbook.claims import check_claims
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music


def run(make, facts=None, **front):
    entry = make.entry(**front)
    entries = Entries((entry.source,), (entry,), frozenset({entry.slug}))
    music = Music({}, {entry.slug: facts} if facts else {})
    return check_claims(entries, music, Setting(make.chorus, make.vocabulary))


def test_an_answered_notice_is_kept_apart(make):
    facts = make.facts(length_seconds=200.0)
    claims, problems = run(make, facts, answers={"minutes-claim": "we sing only half of it"})
    assert problems == []
    (notice,) = claims.answered["slack-water"]
    assert notice.code == "minutes-claim"


def test_an_unanswered_notice_is_reported(make):
    claims, problems = run(make, make.facts(length_seconds=200.0))
    assert [p.code for p in problems] == ["minutes-claim"]
    assert dict(claims.answered) == {}


@pytest.mark.parametrize("code", ["minutes-claim", "say-length", "view-empty", "answer-idle"])
def test_an_answer_to_nothing_is_idle(make, code):
    _, (problem,) = run(make, answers={code: "we know"})
    assert (problem.code, problem.place.line, problem.place.column) == ("answer-idle", 8, 10)
    assert f'"{code}"' in problem.message


def test_errors_cannot_be_answered(make):
    _, problems = run(make, impact=1, answers={"impact-lowest": "it is soft"})
    assert [p.code for p in problems] == ["impact-lowest"]


def test_an_empty_handbook_has_nothing_to_check():
    claims, problems = check_claims(Entries(), Music(), Setting())
    assert (dict(claims.answered), problems) == ({}, [])
