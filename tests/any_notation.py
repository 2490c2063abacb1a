"""What the tests of `degrees` and of ABC with random texts share: texts with typing mistakes, and
what must be true of whatever is read."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

#: Fixtures of pytest are made once for all random texts of a test: nothing here changes them.
anyhow = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@st.composite
def mistyped(draw: st.DrawFn, texts: Sequence[str], signs: str) -> str:
    """One of these texts with up to six places where something was deleted or typed."""
    text = draw(st.sampled_from(texts))
    mistake = st.tuples(st.floats(0, 1), st.integers(0, 2), st.sampled_from(signs))
    for where, removed, added in draw(st.lists(mistake, max_size=6)):
        at = int(where * len(text))
        text = text[:at] + added + text[at + removed :]
    return text


def check_problems(text: str, problems: Sequence[Problem]) -> None:
    """The problems are at places in the text, in order, and each is reported once."""
    lines = text.split("\n")
    for problem in problems:
        assert problem.hint
        assert 1 <= problem.place.line <= len(lines)
        assert 1 <= problem.place.column <= len(lines[problem.place.line - 1]) + 1
        assert "\n" not in problem.message
        assert len(problem.message) < 250
    assert list(problems) == sorted(set(problems))


def check_score(score: Score) -> None:
    """The notes and rests of every part follow each other without gaps up to the same end."""
    assert score.parts
    assert score.bar_starts[0] == 0
    assert list(score.bar_starts) == sorted(set(score.bar_starts))
    assert score.bar_starts[-1] < score.length
    ids = [note.id for part in score.parts for note in part.notes]
    assert len(ids) == len(set(ids))
    for part in score.parts:
        now = Fraction(0)
        for event in part.events:
            assert event.onset == now
            assert event.duration > 0
            now = event.end
            for fermata in event.fermatas:
                assert event.onset <= fermata.onset < fermata.end <= event.end
        assert now == score.length
    for fermata, following in pairwise(score.fermatas):
        assert fermata.end < following.onset
