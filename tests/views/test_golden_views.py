"""Golden cases of the stage: exercises and a views.yml in, members and problems out.

A case has `stock` (by slug: front matter, `facts`, `sung_by`), `views` (the file as text),
`members` (by view) and `problems` (line:column code).
"""

from pathlib import Path

import pytest
import yaml

CASES = sorted((Path(__file__).parents[1] / "cases" / "views").glob("*.yml"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(stock, path):
    case = yaml.safe_load(path.read_text(encoding="utf-8"))
    for slug, given in case["stock"].items():
        stock.add(slug, **(given or {}))
    views, problems = stock.read(case["views"])
    assert {view.slug: list(view.members) for view in views.saved} == case.get("members", {})
    found = [f"{p.place.line}:{p.place.column} {p.code}" for p in problems]
    assert found == case.get("problems", [])
    for problem, words in zip(problems, case.get("words", []), strict=False):
        assert words in f"{problem.message} {problem.hint}"


def test_there_are_cases():
    assert len(CASES) > 10
