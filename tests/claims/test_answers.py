"""Answers to notices, through the whole stage."""

import pytest

from chorus_handbook.claims.checks import check_exercise
from chorus_handbook.claims.subject import Subject


def run(make, facts=None, **front):
    entry = make.entry(**front)
    subject = Subject(entry, None, facts, make.chorus, make.vocabulary)
    return check_exercise(subject, complete=True)


def test_an_answered_notice_is_kept_apart(make):
    facts = make.facts(length_seconds=200.0)
    (notice,), problems = run(make, facts, answers={"minutes-claim": "we sing only half of it"})
    assert problems == []
    assert notice.code == "minutes-claim"


def test_an_unanswered_notice_is_reported(make):
    answered, problems = run(make, make.facts(length_seconds=200.0))
    assert [p.code for p in problems] == ["minutes-claim"]
    assert answered == ()


@pytest.mark.parametrize("code", ["minutes-claim", "say-length", "view-empty", "answer-idle"])
def test_an_answer_to_nothing_is_idle(make, code):
    _, (problem,) = run(make, answers={code: "we know"})
    assert (problem.code, problem.place.line, problem.place.column) == ("answer-idle", 8, 10)
    assert f'"{code}"' in problem.message


def test_errors_cannot_be_answered(make):
    _, problems = run(make, impact=1, answers={"impact-lowest": "it is soft"})
    assert [p.code for p in problems] == ["impact-lowest"]


def test_what_is_not_complete_leaves_answers_alone(make):
    entry = make.entry(answers={"minutes-claim": "we know"})
    subject = Subject(entry, None, None, make.chorus, make.vocabulary)
    assert check_exercise(subject, complete=False) == ((), [])
