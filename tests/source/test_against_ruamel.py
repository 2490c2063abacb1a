"""Our reading of YAML against another: ruamel.yaml in its mode for YAML 1.2, whose parser is not
the one that we use. What we accept, it accepts with the same values; all else is a problem."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import event, example, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.constructor import DuplicateKeyError, SafeConstructor
from ruamel.yaml.error import YAMLError

from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

PROJECT = Path(__file__).parents[2]

#: What ruamel.yaml takes for numbers, and the core schema of YAML 1.2.2 (section 10.3.2) for words.
#: A number of more than 40 digits stays a word here: no field has use for one.
WORDS = re.compile(r"[-+]?[\d.]*_[\d_.eE+-]*|[-+]?0b[01_]+|[-+]0[ox][\da-fA-F_]+|[-+.\d_eE]{41,}")


class CoreSchema(SafeConstructor):  # type: ignore[misc, unused-ignore]
    """Leaves as words the dates, `=` and `<<` of YAML 1.1, which the core schema does not have."""


for kind in ("timestamp", "value", "merge"):
    CoreSchema.add_constructor(f"tag:yaml.org,2002:{kind}", lambda _, node: node.value)


def theirs(text: str) -> Any:
    reader = YAML(typ="safe", pure=True)
    reader.Constructor = CoreSchema
    return reader.load(text)


def assert_same(ours: Any, other: Any, text: str) -> None:
    if isinstance(ours, dict) and ours:
        assert isinstance(other, dict) and len(other) == len(ours), text
        for (name, value), (other_name, other_value) in zip(
            ours.items(), other.items(), strict=True
        ):
            # Names are whole numbers or words; a number of another form is its text.
            assert not isinstance(name, int) or name == other_name, text
            assert_same(value, other_value, text)
    elif isinstance(ours, list):
        assert isinstance(other, list), text
        for value, other_value in zip(ours, other, strict=True):
            assert_same(value, other_value, text)
    elif not (isinstance(ours, str) and WORDS.fullmatch(ours)):
        if isinstance(ours, int | float) and not isinstance(ours, bool):
            ours = float(ours) if isinstance(ours, float) else int(ours)  # as a plain number
        assert repr(ours or {}) == repr(other or {}) or repr(ours) == repr(other), text


def read_the_same(text: str) -> bool:
    """Whether we accept a text. That the other library then reads the same is asserted."""
    document, problems = read_yaml(text, Place("x.yml"))
    if problems:
        return False
    assert document is not None
    assert_same(document.data, theirs(text), text)
    return True


def yaml_of(file: Path) -> str:
    """A file, or its front matter; a list gets a name, since all our texts are fields."""
    text = file.read_bytes().decode("utf-8", "replace")
    if file.suffix == ".md":
        before, *parts = re.split(r"^---\n", text, maxsplit=2, flags=re.MULTILINE)
        return parts[0] if parts and not before else text
    return re.sub(r"\A((?:#.*\n|\n)*)(?=- )", r"\1list:\n", text)


def demo_files() -> list[Path]:
    folder = PROJECT / "handbook"
    return sorted([*folder.glob("*.yml"), *folder.glob("exercises/*.md")])


def cases_of_tests() -> Iterator[str]:
    """Every file that tests bring along, and every text within the tests of this folder."""
    for file in sorted((PROJECT / "tests").rglob("*")):
        if file.suffix in (".yml", ".md"):
            yield yaml_of(file)
    for file in sorted(Path(__file__).parent.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value


@pytest.mark.parametrize("file", demo_files(), ids=lambda file: file.name)
def test_the_demo_is_read_the_same(file: Path) -> None:
    assert read_the_same(yaml_of(file))


def test_the_cases_of_all_tests_are_read_the_same_or_refused() -> None:
    accepted = [read_the_same(text) for text in cases_of_tests()]
    assert accepted.count(True) > 100 and accepted.count(False) > 100


WORDS_OF_YAML = (
    "no Yes null ~ 1 -2 007 1.5 1.10 1e3 0x1F 0o7 .inf .NaN 1:30 2024-05-01 1_000 0b1 = it's C#4"
    " a:b x# -x ?y é🎵 true FALSE"
)
TROUBLE = "@x !t &n *n << | > % , [ ] { } #4 - :"
WORD = st.sampled_from("a b-c no 5 yes C4".split()) | st.sampled_from(WORDS_OF_YAML.split())
PLAIN = st.lists(WORD, min_size=1, max_size=3).map(" ".join)
TEXT = st.text(st.sampled_from("ab 1:#'\"\\-,[]{}&*!|>%\t\né🎵"), max_size=12)
QUOTED = TEXT.map(lambda text: "'" + text.replace("'", "''") + "'") | TEXT.map(
    lambda text: '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
)
# One scalar in sixteen is most likely refused.
SCALAR = st.integers(0, 15).flatmap(
    lambda n: st.sampled_from(TROUBLE.split()) if n == 15 else PLAIN if n < 8 else QUOTED
)
NAME = PLAIN | SCALAR


def joined(fields: dict[str, str]) -> str:
    return ", ".join(f"{name}: {value}" for name, value in fields.items())


FLOW = st.recursive(
    SCALAR,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(NAME, inner, max_size=3).map(lambda fields: f"{{{joined(fields)}}}")
    ),
    max_leaves=4,
)


@st.composite
def block(draw: st.DrawFn, depth: int = 0, fields: bool = True) -> str:
    """Lines of fields or of items, some of which have lines below them."""
    lines = []
    for _ in range(draw(st.integers(1, 3))):
        start = f"{draw(NAME)}:" if fields else "-"
        choice = draw(st.integers(0, 5))
        if choice < 3 or depth == 3:
            lines.append(f"{start} {draw(FLOW)}{draw(st.sampled_from(['', ' # c', '  ']))}")
            continue
        if choice == 3:
            start, inner = f"{start} {draw(st.sampled_from('|>'))}", draw(TEXT)
        else:
            inner = draw(block(depth=depth + 1, fields=draw(st.booleans())))
        by = " " * draw(st.sampled_from([2, 2, 2, 1, 0]))
        lines += [start, *(by + line for line in inner.split("\n"))]
    return "\n".join(lines)


@settings(max_examples=5 * settings().max_examples)
@given(block())
@example("a: &x [1]\nb: *x")
@example("a: 1\na: 2")
def test_drawn_documents_are_read_the_same_or_refused(text: str) -> None:
    try:
        event("read" if read_the_same(text) else "refused")
    except YAMLError as error:
        # It refuses tabs between values, which YAML allows (1.2.2, section 6.2), and two names that
        # are one number for it, such as 1e3 and 1_000.
        one_number = isinstance(error, DuplicateKeyError) and "_" in text
        assert "\t" in text or one_number, f"we accept what the other library refuses: {error}"
