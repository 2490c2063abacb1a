"""Reads YAML into plain data and keeps the place (line and column) of every field.

PyYAML parses the text into nodes. One walk over the nodes makes the data and reports what is not
allowed in a handbook: anchors, aliases, tags, merge keys, duplicate fields and deep nesting. Each
node is visited only once, so that aliases cannot blow up the data. `scalars` decides what a text
without quotes means; `syntax_errors` explains what PyYAML cannot parse.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from chorus_handbook.problems import Place, Problem
from chorus_handbook.source.scalars import plain_scalar
from chorus_handbook.source.suggestions import quoted
from chorus_handbook.source.syntax_errors import At, parse, refused
from chorus_handbook.source.text import FORBIDDEN, clip, forbidden_characters

#: The most levels of fields inside fields. Nothing in a handbook needs half as many.
DEEPEST = 8
#: At most this many problems of one file are reported. When there are more, they usually have the
#: same cause.
_MOST_PROBLEMS = 20

#: An anchor (&name) or a tag (!name) before a value.
_PROPERTY = re.compile(r"[&!][^\s,\[\]{}]*")
#: The end of a text that YAML takes for a comment although it probably is not one, such as #4 in
#: `title: Song #4`: a comment has a space after the #, and words.
_CUT_OFF = re.compile(r"[ \t]+(#+(?:[^\s#].*|[ \t]*(?:\d+[ \t]*)?))$", re.MULTILINE)

#: The names of fields and indexes of items that lead to a value, such as ("goals", 1).
FieldPath = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """The content of a YAML text.

    data: the fields, made of dict, list, str, int, float, bool and None.
    place: where missing fields are reported.
    places: the place of every value, keyed by its path. For a value that begins on the line after
        its field's name, it is the place of the name.
    names: the place of the name of every field, by the field's path.
    unread: the paths of values that have been reported already and are not in `data`.
    """

    data: dict[str | int, Any]
    place: Place
    places: Mapping[FieldPath, Place]
    names: Mapping[FieldPath, Place]
    unread: frozenset[FieldPath]

    def place_of(self, *path: str | int) -> Place:
        """The place of the value with this path; if it is not in the text, the place of the value
        around it."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, self.place)

    def name_of(self, *path: str | int) -> Place:
        """The place of the name of the field with this path. If the path leads to an item of a list
        or is not in the text, the same as `place_of`."""
        return self.names.get(path) or self.place_of(*path)


def read_yaml(
    text: str, place: Place, first_line: int = 1
) -> tuple[Document | None, list[Problem]]:
    """Read the fields in a YAML text.

    `place` is where missing fields are reported; it also names the file of all other places. The
    text begins on line `first_line` of that file. An empty text gives a document without fields.
    Returns the document, or None when the text cannot be parsed, and the problems.

    Forbidden characters are reported here too, for texts that did not come from `read_text`: PyYAML
    would silently turn some of them into spaces.
    """

    def at(line: int, column: int) -> Place:
        return place.at(first_line + line, column + 1)

    problems = forbidden_characters(text, place, first_line)
    text = FORBIDDEN.sub(" ", text)
    root, problem = parse(text, at)
    if problem:
        return None, [*problems, problem]
    walk = _Walk(text, at, problems)
    try:
        data = walk.value(root, (), 1) if root else {}
    except _UnreadableError:
        return None, problems
    return Document(data, place, walk.places, walk.names, frozenset(walk.unread)), problems


class _UnreadableError(Exception):
    """Raised to stop reading the text, after the problem has been reported."""


class _Walk:
    """One walk over the nodes of a text. On the way, it adds to `problems`, `places`, `names` and
    `unread`, which are those of the `Document`. `at` turns a line and column of the text, counted
    from 0, into a place in the file."""

    def __init__(self, text: str, at: At, problems: list[Problem]) -> None:
        self._text = text
        self._at = at
        self._visited: set[int] = set()
        self.problems = problems
        self.places: dict[FieldPath, Place] = {}
        self.names: dict[FieldPath, Place] = {}
        self.unread: set[FieldPath] = set()

    def _report(self, place: Place, code: str, message: str, hint: str) -> None:
        problem = Problem(place, code, message, hint)
        if len(self.problems) < _MOST_PROBLEMS and problem not in self.problems:
            self.problems.append(problem)

    def _start(self, node: yaml.Node) -> Place:
        return self._at(node.start_mark.line, node.start_mark.column)

    def value(self, node: yaml.Node, path: FieldPath, depth: int) -> Any:
        """The value of a node as plain data; None where it is refused."""
        if id(node) in self._visited:
            self._refuse(self.names.get(path) or self.places[path[:-1]], path, "*")
            return None
        self._visited.add(id(node))
        self._refuse_property(node, path)
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, path)
        if depth > DEEPEST:
            self._report(
                self._start(node),
                "yaml-depth",
                f"There are more than {DEEPEST} levels of fields inside fields here.",
                "No field needs that. Look for extra brackets, or extra spaces before a name.",
            )
            raise _UnreadableError
        if isinstance(node, yaml.MappingNode):
            return self._fields(node, path, depth)
        assert isinstance(node, yaml.SequenceNode)  # there is no fourth kind
        return self._list(node, path, depth)

    def _refuse_property(self, node: yaml.Node, path: FieldPath) -> None:
        """Report an anchor or a tag: a node that has one begins with it."""
        if found := _PROPERTY.match(self._text, node.start_mark.index):
            self._refuse(self._start(node), path, found[0])

    def _refuse(self, place: Place, path: FieldPath, sign: str) -> None:
        """Report an anchor, an alias or a tag, which is written as `sign`."""
        self.unread.add(path)
        self._report(place, *refused(sign))

    def _scalar(self, node: yaml.ScalarNode, path: FieldPath) -> Any:
        if node.style == '"' and FORBIDDEN.search(node.value):
            self._report(
                self._start(node),
                "file-character",
                "A backslash in this text stands for a character that cannot be shown.",
                'Write "\\\\" for a backslash, or use single quotes.',
            )
            return FORBIDDEN.sub(" ", node.value)
        if node.style:
            return node.value
        value = plain_scalar(node.value)
        if path and (value is None or isinstance(value, str)):
            self._report_comment(node, path)
        return value

    def _report_comment(self, node: yaml.ScalarNode, path: FieldPath) -> None:
        """Report a text such as `Song #4` in `title: Song #4`, whose end YAML takes for a
        comment."""
        cut = _CUT_OFF.match(self._text, node.end_mark.index)
        if cut is None:
            return
        if not node.value:
            self.unread.add(path)
        whole = f"{node.value}{cut[0] if node.value else cut[1]}"
        if sum(map(whole.count, "]}")) > sum(map(whole.count, "[{")):
            whole = whole.rstrip(" ]}")  # brackets of the list or group around the text
        before = cut.start(1) - node.end_mark.index
        self._report(
            self._at(node.end_mark.line, node.end_mark.column + before),
            "yaml-syntax",
            'The text from this "#" on would be left out, because "#" begins a comment.',
            f"Put the whole text in quotes: {quoted(clip(whole))}. "
            'If it is meant as a comment, write a space after the "#".',
        )

    def _list(self, node: yaml.SequenceNode, path: FieldPath, depth: int) -> list[Any]:
        items = []
        for number, item in enumerate(node.value):
            self.places[(*path, number)] = self._start(item)
            items.append(self.value(item, (*path, number), depth + 1))
        return items

    def _fields(self, node: yaml.MappingNode, path: FieldPath, depth: int) -> dict[str | int, Any]:
        fields: dict[str | int, Any] = {}
        for key, value in node.value:
            name = self._name(key, path)
            if name is None:
                continue
            field = (*path, name)
            if name in fields:
                self._report(
                    self._start(key),
                    "yaml-duplicate",
                    f'The field "{clip(name)}" is given twice; the first is on line '
                    f"{self.names[field].line}.",
                    "Delete one of the two.",
                )
            elif _is_without_space(key, value):
                self._report_space(key, path)
            else:
                self.names[field] = self._start(key)
                self.places[field] = self._start(value if _is_on_the_line(value) else key)
                fields[name] = self.value(value, field, depth + 1)
        return fields

    def _name(self, key: yaml.Node, path: FieldPath) -> str | int | None:
        """The name of a field; None when it is not allowed, which is then reported."""
        if not isinstance(key, yaml.ScalarNode):
            self._report(
                self._start(key),
                "yaml-feature",
                "The name of a field must be a plain word, not a list or a group of fields.",
                "Write a name, a colon, a space and the value.",
            )
            return None
        self._refuse_property(key, path)
        if key.value == "<<" and not key.style:
            self._report(
                self._start(key),
                "yaml-feature",
                '"<<" copies fields from elsewhere in YAML; a handbook does not use that.',
                "Write out the fields that you want to copy.",
            )
            return None
        if not key.value.strip():
            self._report(
                self._start(key),
                "yaml-syntax",
                "A name is missing before this colon.",
                "Write the field's name, or delete the line.",
            )
            return None
        value = key.value if key.style else plain_scalar(key.value)
        if isinstance(value, int) and not isinstance(value, bool):
            return int(value)
        return FORBIDDEN.sub(" ", key.value)

    def _report_space(self, key: yaml.ScalarNode, path: FieldPath) -> None:
        """Report `{label:Soprano}`, which YAML takes for a name without a value."""
        name, _, value = key.value.partition(":")
        self.unread.add((*path, name))
        self._report(
            self._at(key.start_mark.line, key.start_mark.column + len(name)),
            "yaml-syntax",
            "A space is missing after this colon.",
            f'Write "{clip(name)}: {clip(value)}".',
        )


def _is_without_space(key: yaml.ScalarNode, value: yaml.Node) -> bool:
    """Whether name and value were written without a space between them, within brackets."""
    if not isinstance(value, yaml.ScalarNode) or key.style or value.style or value.value:
        return False
    return ":" in key.value.strip(":")


def _is_on_the_line(value: yaml.Node) -> bool:
    """Whether a value begins on the same line as its field's name."""
    if isinstance(value, yaml.ScalarNode):
        return bool(value.value or value.style)
    return isinstance(value, yaml.CollectionNode) and bool(value.flow_style)
