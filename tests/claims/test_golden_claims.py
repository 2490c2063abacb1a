"""Golden cases of the stage: whole exercises as authors write them, and the problems they have.

A case has `exercises` (text by slug), `problems` (slug:line:column code) of this stage alone, and
`words` that stand in the message or hint of each in turn. `answered` are codes by slug.
"""

from pathlib import Path

import pytest
import yaml

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.pipeline import read

#: What the checks on one exercise and on the stock can find; ladders have tests of their own.
CLAIMS = frozenset(
    "range-claim voices-claim motion-claim tuning-claim minutes-claim level-claim impact-lowest "
    "crossed-voices phrase-length plain-twice sound-reach sound-length related-unknown title-twice "
    "answer-idle say-length bar-length voice-length syllable-count word-unknown field-value".split()
)
CASES = sorted((Path(__file__).parents[1] / "cases" / "claims").glob("*.yml"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(root, path):
    case = yaml.safe_load(path.read_text(encoding="utf-8"))
    for slug, text in case["exercises"].items():
        (root / "exercises" / f"{slug}.md").write_text(text, encoding="utf-8")
    assert read_chorus_config(root)[1] == []
    book = read(root)
    problems = [problem for problem in book.problems if problem.code in CLAIMS]
    found = [
        f"{Path(p.place.path).stem}:{p.place.line}:{p.place.column} {p.code}" for p in problems
    ]
    assert found == case.get("problems", [])
    for problem, words in zip(problems, case.get("words", []), strict=False):
        assert words in f"{problem.message} {problem.hint}"
    answered = {
        slug: [notice.code for notice in exercise.answered]
        for slug, exercise in book.exercises.items()
        if exercise.answered
    }
    assert answered == case.get("answered", {})


def test_there_are_cases():
    assert len(CASES) > 10
