"""Changes single fields of a YAML text, and leaves everything else as its author wrote it:
comments, order and layout.

A change replaces only the characters of one name or value. Nothing here checks whether the result
is valid, so callers read the text again after their changes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

import yaml

from chorus_handbook.source.document import FieldPath
from chorus_handbook.source.syntax_errors import compose


class FieldEditor:
    """An editor for a YAML text that can be parsed and has no anchors or aliases. `text` is the
    text with all changes so far. A field is given by its path: the names and indexes that lead to
    it. The methods raise KeyError when there is nothing at a path."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __contains__(self, path: FieldPath) -> bool:
        try:
            self._find(path)
        except KeyError:
            return False
        return True

    def paths(self) -> list[FieldPath]:
        """The path of every field, and of every item of a list, from the top down."""
        root = compose(self.text)
        return list(_paths(root, ())) if root else []

    def value(self, path: FieldPath) -> str:
        """The value at a path as text, without its quotes. It must not be a list or a group."""
        _, node, _ = self._find(path)
        if not isinstance(node, yaml.ScalarNode):
            raise KeyError(path)
        return str(node.value)

    def rename(self, path: FieldPath, name: str) -> None:
        """Give a field another name. Its value and its place stay."""
        key, _, _ = self._find(path)
        if key is None:
            raise KeyError(path)
        self._splice(key.start_mark.index, key.end_mark.index, name)

    def replace(self, path: FieldPath, written: str) -> None:
        """Replace the value of a field or item by `written`, which is YAML in one line."""
        key, node, _ = self._find(path)
        start, end = node.start_mark.index, self._end(node)
        if key is not None and self.text[key.end_mark.index : start].count("\n"):
            start = self.text.index(":", key.end_mark.index) + 1  # the value begins on a later line
        space = "" if self.text[start - 1 : start] in (" ", "[", "{", "-", "") else " "
        self._splice(start, max(start, end), f"{space}{written}")

    def remove(self, path: FieldPath) -> None:
        """Delete a field or an item of a list. If its list or group is then empty, that is deleted
        too."""
        key, node, parent = self._find(path)
        if len(path) > 1 and len(parent.value) == 1:
            self.remove(path[:-1])
            return
        start = (key or node).start_mark.index
        end = self._end(node)
        assert isinstance(parent, yaml.CollectionNode)  # it has something in it
        if parent.flow_style:
            after = re.compile(r"\s*,[ \t]*").match(self.text, end)
            before = re.search(r",\s*\Z", self.text[:start])
            if after:
                end = after.end()
            elif before:
                start = before.start()
            self._splice(start, end, "")
            return
        self._splice(self._line_start(start), self._line_end(end), "")

    def append(self, name: str, written: str) -> None:
        """Add a field below all others. `written` is its value as YAML text."""
        end = "" if self.text.endswith("\n") or not self.text else "\n"
        below = "\n" if self.text.endswith("\n") else ""
        self.text += f"{end}{name}: {written}{below}"

    def insert_first(self, name: str, written: str) -> None:
        """Add a field above all others, but below the comments at the top. `written` is its value
        as YAML text."""
        root = compose(self.text)
        start = self._line_start(root.start_mark.index) if root else len(self.text)
        self._splice(start, start, f"{name}: {written}\n")

    def add_entry(self, group: str, name: str, fields: Mapping[str, str]) -> None:
        """Add an entry with these `fields` at the end of a group such as `goals`; the group is
        added if there is none. Each value in `fields` is YAML in one line."""
        inline = "{" + ", ".join(f"{field}: {value}" for field, value in fields.items()) + "}"
        if (group,) not in self:
            self.append(group, f"\n  {name}: {inline}")
            self.text = re.sub(rf"^{re.escape(group)}: \n", f"{group}:\n", self.text, flags=re.M)
            return
        _, node, _ = self._find((group,))
        if not isinstance(node, yaml.MappingNode) or not node.value:
            self.replace((group,), f"{{{name}: {inline}}}")
            return
        end = self._end(node)
        if node.flow_style:
            self._splice(end - 1, end - 1, f", {name}: {inline}")
            return
        indent = " " * node.value[0][0].start_mark.column
        lines = "".join(f"\n{indent}  {field}: {value}" for field, value in fields.items())
        at = self._line_end(end)
        newline = "" if self.text[:at].endswith("\n") else "\n"
        self._splice(at, at, f"{newline}{indent}{name}:{lines}\n")

    def _find(self, path: FieldPath) -> tuple[yaml.Node | None, yaml.Node, yaml.Node]:
        """The parser's nodes for a path: the name of the field (None for an item of a list), its
        value, and the group or list around it. Raises KeyError when there is nothing there."""
        node = parent = compose(self.text)
        key: yaml.Node | None = None
        for part in path:
            parent = node
            key, node = _inner(parent, part, path)
        if node is None or parent is None:
            raise KeyError(path)
        return key, node, parent

    def _end(self, node: yaml.Node) -> int:
        """The index after the last character of a value. This is less than the parser's `end_mark`,
        which for a value in block style includes the space and comments below it."""
        start, end = node.start_mark.index, node.end_mark.index
        if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
            last = node.value[-1]
            return self._end(last[1] if isinstance(last, tuple) else last)
        if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
            return start + len(self.text[start:end].rstrip())
        return end

    def _line_start(self, index: int) -> int:
        """The index of the first character of the line that contains `index`."""
        return self.text.rfind("\n", 0, index) + 1

    def _line_end(self, index: int) -> int:
        """The index after the line that contains `index`, including its line end."""
        end = self.text.find("\n", index)
        return len(self.text) if end < 0 else end + 1

    def _splice(self, start: int, end: int, text: str) -> None:
        """Replace the characters from index `start` up to `end` (not included) of the text by
        `text`."""
        self.text = self.text[:start] + text + self.text[end:]


def _inner(
    node: yaml.Node | None, part: str | int, path: FieldPath
) -> tuple[yaml.Node | None, yaml.Node]:
    """The name (None in a list) and the value of the field or item `part` of a group or list.
    Raises KeyError, with the whole `path`, if there is none."""
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if isinstance(key, yaml.ScalarNode) and key.value == str(part):
                return key, value
    if isinstance(node, yaml.SequenceNode) and isinstance(part, int) and part < len(node.value):
        return None, node.value[part]
    raise KeyError(path)


def _paths(node: yaml.Node, path: FieldPath) -> Iterator[FieldPath]:
    """The path of a node, which is `path`, and the paths of everything in it."""
    if path:
        yield path
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if isinstance(key, yaml.ScalarNode):
                yield from _paths(value, (*path, key.value))
    elif isinstance(node, yaml.SequenceNode):
        for number, item in enumerate(node.value):
            yield from _paths(item, (*path, number))
