"""The words of the front matter against the vocabulary."""

import pytest

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.words import check_words


def test_known_words_pass(make):
    subject = make.subject(
        goals=["resonance", "breath-flow"],
        formation="circle",
        cautions=["light-headed"],
        actions=["neck"],
    )
    assert list(check_words(subject)) == []


@pytest.mark.parametrize(
    ("field", "value", "guess"),
    [
        ("goals", ["resonence"], "resonance"),
        ("sounding", "lip-tril", "lip-trill"),
        ("formation", "cirle", "circle"),
        ("cautions", ["lightheaded"], "light-headed"),
        ("actions", ["necks"], "neck"),
    ],
)
def test_unknown_word_gets_a_guess(make, field, value, guess):
    subject = make.subject(**{field: value})
    (problem,) = check_words(subject)
    assert problem.code == "word-unknown"
    assert problem.message.endswith(f'Did you mean "{guess}"?')
    assert problem.place == subject.place_of(field, 0)


def test_one_word_twice(make):
    (problem,) = check_words(make.subject(goals=["resonance", "resonance"]))
    assert (problem.code, problem.place.column) == ("field-value", 11)
    assert problem.message == 'The field "goals" has "resonance" twice.'


def test_without_a_vocabulary_only_doubles_are_found(make):
    entry = make.entry(goals=["anything"], related=["gangway", "gangway"])
    (problem,) = check_words(Subject(entry))
    assert problem.message == 'The field "related" has "gangway" twice.'
