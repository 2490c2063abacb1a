"""Every problem code has its paragraph in docs/problems.md, and is used somewhere."""

import ast
import re
from pathlib import Path

import pytest

import chorus_handbook
from chorus_handbook.problems import CODES
from chorus_handbook.warmups.findings import RULES

DOCS = Path(__file__).parents[1] / "docs" / "problems.md"
PACKAGE = Path(chorus_handbook.__file__).parent
TEXT = DOCS.read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## (\S+)\n(.*?)(?=^## |\Z)", TEXT, re.MULTILINE | re.DOTALL))


def strings_in(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    constants = (node.value for node in ast.walk(tree) if isinstance(node, ast.Constant))
    return {value for value in constants if isinstance(value, str)}


@pytest.fixture(scope="module")
def used() -> set[str]:
    sources = [path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "problems.py"]
    of_warm_ups = {rule["code"] for rule in RULES["findings"].values()}
    return set().union(of_warm_ups, *map(strings_in, sources))


def test_the_paragraphs_are_those_of_the_codes_in_their_order():
    assert list(SECTIONS) == list(CODES)


@pytest.mark.parametrize("code", CODES)
def test_each_paragraph_has_an_example_and_says_what_to_do(code):
    assert re.search(
        rf"^handbook/[^\n]+:\d+:\d+: {CODES[code]}\[{code}\] \S", SECTIONS[code], re.MULTILINE
    )
    assert "**What to do:** " in SECTIONS[code]


@pytest.mark.parametrize("code", CODES)
def test_each_code_is_raised_somewhere(code, used):
    assert code in used


def test_links_lead_to_files():
    prose = re.sub(r"`[^`\n]*`", "", TEXT)
    links = re.findall(r"\]\(([^)#]+)\)", prose)
    assert links
    for link in links:
        assert (DOCS.parent / link).is_file()
