"""Single fields of a YAML text are changed, and nothing else."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml
from chorus_handbook.source.field_editor import FieldEditor

TEXT = """\
# at the top
title: "A: b"  # the name
goals: [a, b,  c]   # which
also_called:
  - one  # first
  - two

# between
related:
  - x   # the only

summary: >-
  folded
  text

groups: {upper: [s, a], lower: [t]}
words:
    near: [p, q]   # four spaces
empty:
keys: C4
"""


def edited(change: Callable[[FieldEditor], object]) -> list[str]:
    """The lines that a change takes away (-) and puts in (+)."""
    fields = FieldEditor(TEXT)
    change(fields)
    diff = difflib.unified_diff(TEXT.split("\n"), fields.text.split("\n"), lineterm="", n=0)
    return [line for line in list(diff)[2:] if not line.startswith("@@")]


CHANGES: dict[str, tuple[Callable[[FieldEditor], object], list[str]]] = {
    "a name": (lambda f: f.rename(("keys",), "key"), ["-keys: C4", "+key: C4"]),
    "a text in quotes": (
        lambda f: f.replace(("title",), "C"),
        ['-title: "A: b"  # the name', "+title: C  # the name"],
    ),
    "an item": (
        lambda f: f.replace(("goals", 1), "zz"),
        ["-goals: [a, b,  c]   # which", "+goals: [a, zz,  c]   # which"],
    ),
    "a list on lines": (
        lambda f: f.replace(("also_called",), "[q]"),
        ["-also_called:", "-  - one  # first", "-  - two", "+also_called: [q]"],
    ),
    "a folded text": (
        lambda f: f.replace(("summary",), "one"),
        ["-summary: >-", "-  folded", "-  text", "+summary: one"],
    ),
    "nothing": (lambda f: f.replace(("empty",), "1"), ["-empty:", "+empty: 1"]),
    "an item gone": (
        lambda f: f.remove(("goals", 0)),
        ["-goals: [a, b,  c]   # which", "+goals: [b,  c]   # which"],
    ),
    "the last item gone": (
        lambda f: f.remove(("goals", 2)),
        ["-goals: [a, b,  c]   # which", "+goals: [a, b]   # which"],
    ),
    "a line gone": (lambda f: f.remove(("also_called", 0)), ["-  - one  # first"]),
    "the only item gone": (
        lambda f: f.remove(("related", 0)),
        ["-related:", "-  - x   # the only"],
    ),
    "a group's field gone": (
        lambda f: f.remove(("groups", "lower")),
        ["-groups: {upper: [s, a], lower: [t]}", "+groups: {upper: [s, a]}"],
    ),
    "a field below": (lambda f: f.append("new", "1"), ["+new: 1"]),
    "a field above": (lambda f: f.insert_first("new", "1"), ["+new: 1"]),
    "an entry": (
        lambda f: f.add_entry("words", "far", {"a": "1", "b": "two"}),
        ["+    far:", "+      a: 1", "+      b: two"],
    ),
    "an entry on the line": (
        lambda f: f.add_entry("groups", "all", {"a": "1"}),
        [
            "-groups: {upper: [s, a], lower: [t]}",
            "+groups: {upper: [s, a], lower: [t], all: {a: 1}}",
        ],
    ),
    "an entry of a new group": (
        lambda f: f.add_entry("more", "one", {"a": "1"}),
        ["+more:", "+  one: {a: 1}"],
    ),
    "an entry where nothing is": (
        lambda f: f.add_entry("empty", "one", {"a": "1"}),
        ["-empty:", "+empty: {one: {a: 1}}"],
    ),
}


@pytest.mark.parametrize("name", CHANGES)
def test_only_the_field_changes(name: str) -> None:
    change, lines = CHANGES[name]
    assert edited(change) == lines


def test_a_field_above_all_stands_below_the_comment_at_the_top() -> None:
    fields = FieldEditor(TEXT)
    fields.insert_first("format", "2")
    assert fields.text.startswith('# at the top\nformat: 2\ntitle: "A: b"')


def test_what_is_not_there_is_an_error() -> None:
    fields = FieldEditor(TEXT)
    for path in (("nothing",), ("goals", 3), ("keys", "x"), ("goals", "a")):
        assert path not in fields
        with pytest.raises(KeyError):
            fields.remove(path)
    assert fields.text == TEXT


NAMES = st.sampled_from("abcdefg")
VALUES = st.recursive(
    st.sampled_from(["x", "two words", "C4", "it's", 'say "a"', "a # b", "1", "ä"]),
    lambda inner: (
        st.lists(inner, min_size=1, max_size=3)
        | st.dictionaries(NAMES, inner, min_size=1, max_size=3)
    ),
    max_leaves=5,
)


@given(st.dictionaries(NAMES, VALUES, min_size=2, max_size=4), st.booleans(), st.data())
def test_the_other_fields_keep_their_values(
    data: dict[str, Any], flow: bool, draw: st.DataObject
) -> None:
    """The text is written by another library (ruamel.yaml) in either style."""
    import io

    stream = io.StringIO()
    yaml = YAML(pure=True)
    yaml.default_flow_style = flow
    yaml.dump(data, stream)
    name = draw.draw(st.sampled_from(sorted(data)))
    rest = {field: value for field, value in data.items() if field != name}
    for change, added in (
        (lambda f: f.remove((name,)), {}),
        (lambda f: f.replace((name,), "other"), {name: "other"}),
        (lambda f: f.rename((name,), "z"), {"z": data[name]}),
    ):
        fields = FieldEditor(stream.getvalue())
        change(fields)
        document, problems = read_yaml(fields.text, Place("edited"))
        assert document is not None and not problems, fields.text
        assert _as_text(document.data) == _as_text(rest | added)


def _as_text(value: Any) -> Any:
    """Numbers as the texts that they were drawn as."""
    if isinstance(value, dict):
        return {name: _as_text(inner) for name, inner in value.items()}
    return list(map(_as_text, value)) if isinstance(value, list) else str(value)
