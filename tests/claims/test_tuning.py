"""`tune_to` and `roots`."""

from dataclasses import replace

import pytest

from chorus_handbook.claims.tuning import check_tuning
from chorus_handbook.entries.model import Notation
from chorus_handbook.problems import Place


def found(make, *parts, **front):
    subject = make.subject(make.score(*parts), **front)
    notation = Notation("degrees", "", Place("x.md"))
    source = replace(subject.entry.source, notation=notation)
    return list(check_tuning(replace(subject, entry=replace(subject.entry, source=source))))


@pytest.mark.parametrize("name", ["tonic", "bass", "alto"])
def test_the_tonic_the_bass_and_who_sings_may_lead(make, name):
    assert found(make, make.part("alto", 1, 2), tune_to=name) == []
    assert found(make, make.part("alto", 1, 2)) == []


def test_a_voice_that_does_not_sing_cannot(make):
    alto, soprano = make.part("alto", 1, 2), make.part("soprano", "x", "x")
    for name in ("soprano", "tenor"):
        (problem,) = found(make, alto, soprano, tune_to=name)
        assert (problem.code, problem.severity) == ("tuning-claim", "error")
        assert (
            problem.message
            == f'"tune_to" names "{name}", but {name} sings no notes in this exercise.'
        )
        assert problem.hint == 'Write one of these: "tonic", "bass", "alto".'


def test_a_slip_gets_a_suggestion(make):
    (problem,) = found(make, make.part("alto", 1, 2), tune_to="basss")
    assert problem.message.endswith('Did you mean "bass"?')


def test_roots_may_be_as_long_as_the_notes_or_shorter(make):
    part = make.part("alto", 1, 2, 3, 4)
    assert found(make, part, roots="1 - 4 -") == []
    assert found(make, part, roots="1") == []
    (problem,) = found(make, part, roots="1 - 4 - | 5")
    assert (
        problem.message
        == 'The field "roots" gives roots for 5 beats, but the notes last only 4 beats.'
    )


def test_one_of_the_two_leads(make):
    (problem,) = found(make, make.part("alto", 1, 2), roots="1", tune_to="bass")
    assert problem.message.startswith('"tune_to" and "roots" are both given')


@pytest.mark.parametrize("front", [{"roots": "1"}, {"tune_to": "bass"}])
def test_without_notes_there_is_nothing_to_tune(make, front):
    (problem,) = check_tuning(make.subject(**front))
    assert problem.message.endswith("the exercise has no notes to tune.")
