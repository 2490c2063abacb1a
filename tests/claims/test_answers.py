"""Answers to notices, through the whole stage."""

from chorus_handbook.chorus import Setting
from chorus_handbook.claims import CHECKS, check_claims
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music
from chorus_handbook.problems import CODES


def run(entry, chorus, vocabulary, facts=None):
    entries = Entries((entry.source,), (entry,), frozenset({entry.slug}))
    music = Music({}, {entry.slug: facts} if facts else {})
    return check_claims(entries, music, Setting(chorus, vocabulary))


def test_an_answered_notice_is_kept_apart(make, chorus, vocabulary):
    entry = make.entry(answers={"minutes-claim": "we sing only half of it"})
    claims, problems = run(entry, chorus, vocabulary, make.facts(length_seconds=200.0))
    assert problems == []
    (notice,) = claims.answered["slack-water"]
    assert notice.code == "minutes-claim"


def test_an_unanswered_notice_is_reported(make, chorus, vocabulary):
    claims, problems = run(make.entry(), chorus, vocabulary, make.facts(length_seconds=200.0))
    assert [p.code for p in problems] == ["minutes-claim"]
    assert dict(claims.answered) == {}


def test_an_answer_to_nothing_is_idle(make, chorus, vocabulary):
    entry = make.entry(answers={"minutes-claim": "we sing only half of it"})
    _, (problem,) = run(entry, chorus, vocabulary)
    assert (problem.code, problem.place) == (
        "answer-idle",
        entry.source.place_of("answers", "minutes-claim"),
    )


def test_answers_to_other_stages_are_not_judged_here(make, chorus, vocabulary):
    entry = make.entry(answers={"say-length": "it is a poem"})
    assert run(entry, chorus, vocabulary)[1] == []


def test_errors_cannot_be_answered(make, chorus, vocabulary):
    entry = make.entry(impact=1, answers={"impact-lowest": "it is soft"})
    _, problems = run(entry, chorus, vocabulary)
    assert [p.code for p in problems] == ["impact-lowest"]


def test_the_table_names_only_notices():
    assert all(CODES[notice] == "notice" for _, _, notice in CHECKS if notice)


def test_an_empty_handbook_has_nothing_to_check():
    claims, problems = check_claims(Entries((), (), frozenset()), Music({}, {}), Setting())
    assert (dict(claims.answered), problems) == ({}, [])
