"""Golden cases of the stage: whole exercises as authors write them, and the problems they have.

A case has `exercises` (text by slug), `problems` (slug:line:column code) of this stage alone, and
`words` that stand in the message or hint of each in turn. `answered` are codes by slug.
"""

from pathlib import Path

import pytest
import yaml

from chorus_handbook.chorus import read_setting
from chorus_handbook.claims import check_claims
from chorus_handbook.entries import read_entries
from chorus_handbook.music import read_music

CASES = sorted((Path(__file__).parents[1] / "cases" / "claims").glob("*.yml"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(root, path):
    case = yaml.safe_load(path.read_text(encoding="utf-8"))
    for slug, text in case["exercises"].items():
        (root / "exercises" / f"{slug}.md").write_text(text, encoding="utf-8")
    setting, wrong_setting = read_setting(root)
    assert wrong_setting == []
    entries, _ = read_entries(root)
    music, _ = read_music(entries, setting.chorus, root)
    claims, problems = check_claims(entries, music, setting)
    found = [
        f"{Path(p.place.path).stem}:{p.place.line}:{p.place.column} {p.code}" for p in problems
    ]
    assert found == case.get("problems", [])
    for problem, words in zip(problems, case.get("words", []), strict=False):
        assert words in f"{problem.message} {problem.hint}"
    answered = {slug: [p.code for p in notices] for slug, notices in claims.answered.items()}
    assert answered == case.get("answered", {})


def test_there_are_cases():
    assert len(CASES) > 10
