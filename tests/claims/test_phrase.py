"""The longest phrase against the breath.

Source of the limit: Maslan et al. 2011, mean maximum phonation time of adults in their sixties
22.3 s; 10 s is about half (computed).
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from chorus_handbook.claims.phrase import LONGEST_PHRASE, check_phrase
from chorus_handbook.music.score import Span

ADULTS_MAXIMUM = 22.3


def found(make, *parts, **phrases):
    facts = make.facts({voice: {"phrase": length} for voice, length in phrases.items()})
    return list(check_phrase(make.subject(make.score(*parts), facts)))


def test_limit_is_about_half_of_the_published_mean():
    assert 0.4 < LONGEST_PHRASE / ADULTS_MAXIMUM < 0.5


def test_ten_seconds_pass(make):
    part = make.part("alto", (1, 10))
    assert found(make, part, alto=10.0) == []
    assert list(check_phrase(make.subject(make.score(part)))) == []


def test_longest_phrase_is_where_it_points(make):
    part = make.part("alto", (1, 4), "v", (2, 6), (3, 6), 0, (1, 5))
    (problem,) = found(make, part, alto=12.04)
    assert (problem.code, problem.severity) == ("phrase-length", "notice")
    assert problem.place.column == 2
    assert problem.message.startswith("alto sings for 12.1 s from here without a breath")


@pytest.mark.parametrize("breath", ["v?", "v? inside"])
def test_staggered_breaths_exempt_a_line(make, breath):
    part = make.part("alto", (1, 8), breath, (2, 8))
    assert found(make, part, alto=16.0) == []


def test_one_line_is_told_once(make):
    both = ("soprano", "alto")
    parts = [make.part(voice, (1, 12), shares=both) for voice in both]
    (problem,) = found(make, *parts, soprano=12.0, alto=12.0)
    assert problem.message.startswith("soprano and alto sing for 12 s")


def test_the_leader_looks_after_herself(make):
    part = make.part("leader", (1, 12))
    assert found(make, part, leader=12.0) == []


@pytest.mark.parametrize(
    ("onset", "duration", "column"), [(5, 1, 1), (5, 2, 3), (6, 2, 3), (8, 1, 1), (0, 1, 1)]
)
def test_holds_lengthen_the_phrase_they_stand_in(make, onset, duration, column):
    """Of 4 and 3 beats the second is the longer when it is held for two beats."""
    part = make.part("alto", (1, 4), 0, (2, 3), 0)
    held = replace(make.score(part), fermatas=(Span(Fraction(onset), Fraction(duration)),))
    facts = make.facts({"alto": {"phrase": 10.5}})
    (problem,) = check_phrase(make.subject(held, facts))
    assert problem.place.column == column


def test_several_holds_add_up(make):
    part = make.part("alto", (1, 4), 0, (2, 3))
    spans = (Span(Fraction(5), Fraction(1, 2)), Span(Fraction(6), Fraction(1)))
    facts = make.facts({"alto": {"phrase": 10.5}})
    (problem,) = check_phrase(make.subject(replace(make.score(part), fermatas=spans), facts))
    assert problem.place.column == 3
