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


#: A text of the code that is only a part of a message has at least as many characters.
FEWEST_OF_A_PART = 20


def pieces(node: ast.expr) -> tuple[str, ...]:
    """What a string of the code prints in any case, cut where it fills in something else."""
    if isinstance(node, ast.JoinedStr):
        texts = [piece for value in node.values for piece in pieces(value)]
        return tuple(text for text in texts if text)
    text = node.value if isinstance(node, ast.Constant) else None
    return (text,) if isinstance(text, str) else ()


@pytest.fixture(scope="module")
def texts() -> set[tuple[str, ...]]:
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in PACKAGE.rglob("*.py"))
    found = {
        pieces(node) for tree in trees for node in ast.walk(tree) if isinstance(node, ast.expr)
    }
    rules = [re.split(r"\{\w+\}", rule["message"]) for rule in RULES["findings"].values()]
    return found | {tuple(filter(None, rule)) for rule in rules}


def is_printed(message: str, texts: set[tuple[str, ...]]) -> bool:
    """Whether a text of the code becomes this message, or its beginning."""
    for parts in texts:
        if parts and all(part in message for part in parts):
            pattern, length = ".*".join(map(re.escape, parts)), sum(map(len, parts))
            whole = message.endswith(parts[-1]) and length > 8
            if (whole or length >= FEWEST_OF_A_PART) and re.search(pattern, message):
                return True
    return False


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


def test_the_examples_are_messages_that_are_printed(texts):
    """So that an example does not stay behind when a message is reworded."""
    examples = re.findall(r"^handbook/\S.*?: (?:error|notice)\[\S+\] (.+)$", TEXT, re.MULTILINE)
    messages = [re.sub(r' Did you mean "[^"]*"\?$', "", message) for message in examples]
    assert len(messages) > len(CODES)
    assert [message for message in messages if not is_printed(message, texts)] == []


@pytest.mark.parametrize("code", CODES)
def test_each_code_is_raised_somewhere(code, used):
    assert code in used


def test_links_lead_to_files():
    prose = re.sub(r"`[^`\n]*`", "", TEXT)
    links = re.findall(r"\]\(([^)#]+)\)", prose)
    assert links
    for link in links:
        assert (DOCS.parent / link).is_file()
