"""The events of a YAML text into plain data, every value and name with its place; what a handbook
does not use becomes a problem (`document` has the rules)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import yaml

from chorus_handbook.problems import Place, Problem
from chorus_handbook.source.faults import Slip
from chorus_handbook.source.scalars import plain_scalar
from chorus_handbook.source.slips import no_fields
from chorus_handbook.source.suggestions import quoted
from chorus_handbook.source.text import FORBIDDEN, clip

#: Levels of fields within fields; nothing in a handbook needs half as many.
DEEPEST = 8
#: A file with more doubled fields than this has one fault, not many.
_MOST_PROBLEMS = 20

#: What a # takes away that was no comment: a comment has a space behind the #, and words.
_LOST = re.compile(r"\s+(#+(?:[^\s#].*|\s*\d*\s*))")

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

FieldPath = tuple[str | int, ...]


class UnreadableError(Exception):
    """There is no use in reading on; the problem has been reported."""


class EventReader:
    """Reads one text; `problems`, `places`, `names` and `unread` grow while it does."""

    def __init__(self, text: str, place: Place, first_line: int) -> None:
        self._text = text
        self._place = place
        self._first_line = first_line
        self._lines = text.split("\n")
        self._events: Iterator[Any] = yaml.parse(text, Loader=_LOADER)
        self.problems: list[Problem] = []
        self.places: dict[FieldPath, Place] = {}
        self.names: dict[FieldPath, Place] = {}
        self.unread: set[FieldPath] = set()

    def report(self, place: Place, code: str, message: str, hint: str) -> None:
        """Add a problem."""
        if len(self.problems) < _MOST_PROBLEMS:
            self.problems.append(Problem(place, code, message, hint))

    def add(self, found: Slip) -> None:
        """Add a fault of the YAML itself."""
        place = self._place.at(self._first_line + found.line, found.column + 1)
        self.report(place, found.code, found.message, found.hint)

    def _at(self, event: yaml.Event) -> Place:
        mark = event.start_mark
        assert mark is not None  # the parser marks every event
        return self._place.at(self._first_line + mark.line, mark.column + 1)

    def read(self) -> dict[str | int, Any]:
        data: dict[str | int, Any] = {}
        documents = 0
        for event in self._events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents == 2:
                    self.report(
                        self._at(event),
                        "yaml-feature",
                        "A second set of fields begins here.",
                        "Keep one: delete this line, or move what follows into a file of its own.",
                    )
                    break
                self._no_directives(event)
            elif isinstance(event, yaml.NodeEvent):
                data = self._root(event)
        return data

    def _no_directives(self, event: yaml.DocumentStartEvent) -> None:
        if event.version or event.tags:
            self.report(
                self._at(event),
                "yaml-feature",
                "A line that begins with % is an instruction to YAML; a handbook needs none.",
                "Delete the line.",
            )

    def _root(self, event: yaml.NodeEvent) -> dict[str | int, Any]:
        value = self._node(event, (), 1)
        if isinstance(event, yaml.MappingStartEvent):
            assert isinstance(value, dict)
            return value
        if value is None and isinstance(event, yaml.ScalarEvent):
            return {}
        self.add(no_fields(self._text.split("\n"), self._at(event).line - self._first_line))
        raise UnreadableError

    def _node(self, event: yaml.NodeEvent, path: FieldPath, depth: int) -> Any:
        """The value that begins with this event; reads on to its end."""
        if isinstance(event, yaml.AliasEvent):
            self._refuse(event, path, f"*{event.anchor}", "refers to another value")
            return None
        if event.anchor is not None:
            self._refuse(
                event, path, f"&{event.anchor}", "names a value so that others can refer to it"
            )
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, path)
        if depth > DEEPEST:
            self.report(
                self._at(event),
                "yaml-depth",
                f"Fields are nested more than {DEEPEST} levels deep here.",
                "Nothing in a handbook needs that; look for extra brackets or spaces.",
            )
            raise UnreadableError
        self._tagged(event, path)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._list(path, depth)
        return self._fields(path, depth)

    def _scalar(self, event: yaml.ScalarEvent, path: FieldPath) -> Any:
        self._tagged(event, path)
        if event.style == '"' and FORBIDDEN.search(event.value):
            self.report(
                self._at(event),
                "file-character",
                "A backslash in this text stands for a character that cannot be shown.",
                "Write \\\\ for a backslash, or use single quotes.",
            )
            return FORBIDDEN.sub(" ", event.value)
        # libyaml has no style for a bare word, the loader written in Python has None.
        if event.style:
            return event.value
        value = plain_scalar(event.value)
        if value is None or isinstance(value, str):
            self._cut_short(event, path)
        return value

    def _cut_short(self, event: yaml.ScalarEvent, path: FieldPath) -> None:
        """`title: Song #4`, of which YAML takes the end for a comment."""
        mark = event.end_mark
        assert mark is not None  # the parser marks every event
        line = self._lines[mark.line] if mark.line < len(self._lines) else ""
        lost = _LOST.fullmatch(line, mark.column)
        if lost is None or not path:
            return
        if not event.value:
            self.unread.add(path)
        whole = f"{event.value}{line[mark.column :] if event.value else lost[1]}"
        if len(re.findall(r"[\]}]", whole)) > len(re.findall(r"[\[{]", whole)):
            whole = whole.rstrip(" ]}")  # of the list or group that the text stands in
        self.report(
            self._place.at(self._first_line + mark.line, lost.start(1) + 1),
            "yaml-syntax",
            "From this # on, the text is left out: YAML takes it for a comment.",
            f"Put the whole text in quotes: {quoted(clip(whole))}. "
            "For a comment, write a space behind the #.",
        )

    def _tagged(self, event: yaml.NodeEvent, path: FieldPath) -> None:
        tag = getattr(event, "tag", None)
        if tag is not None:
            sign = tag.replace("tag:yaml.org,2002:", "!!")
            self._refuse(event, path, sign, "gives a value a type")

    def _refuse(self, event: yaml.NodeEvent, path: FieldPath, sign: str, does: str) -> None:
        self.unread.add(path)
        self.report(
            self._at(event),
            "yaml-feature",
            f'"{clip(sign)}" {does} in YAML; a handbook does not use that.',
            "Write the value out. If you mean it as text, put it in quotes.",
        )

    def _list(self, path: FieldPath, depth: int) -> list[Any]:
        items: list[Any] = []
        for event in self._events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            item = (*path, len(items))
            self.places[item] = self._at(event)
            items.append(self._node(event, item, depth + 1))
        return items

    def _fields(self, path: FieldPath, depth: int) -> dict[str | int, Any]:
        fields: dict[str | int, Any] = {}
        for event in self._events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            name = self._name(event, path, depth)
            value = next(self._events)
            field = path if name is None else (*path, name)
            if name is None:
                self._node(value, field, depth + 1)
            elif _is_glued(event, value):
                self._glued(self._at(event), path, event.value)
            elif name in fields:
                self._twice(self._at(event), field)
                self._unplaced(value, field, depth)
            else:
                place = self._at(event)
                self.names[field] = place
                self.places[field] = place
                if _on_the_line(value):
                    self.places[field] = self._at(value)
                fields[name] = self._node(value, field, depth + 1)
        return fields

    def _unplaced(self, value: yaml.NodeEvent, field: FieldPath, depth: int) -> None:
        """Read a value that does not count, and forget where its parts stood."""
        kept = self.places, self.names
        self.places, self.names = {}, {}
        self._node(value, field, depth + 1)
        self.places, self.names = kept

    def _name(self, event: yaml.NodeEvent, path: FieldPath, depth: int) -> str | int | None:
        """A field's name, or None when it is refused (a problem then says why)."""
        if not isinstance(event, yaml.ScalarEvent):
            self.report(
                self._at(event),
                "yaml-feature",
                "A field's name is a plain word, never a list or a group of fields.",
                "Write a name, a colon, a space and the value.",
            )
            self._node(event, path, depth + 1)
            return None
        self._tagged(event, path)
        if event.anchor is not None:
            self._refuse(
                event, path, f"&{event.anchor}", "names a value so that others can refer to it"
            )
        if event.value == "<<" and not event.style:
            self.report(
                self._at(event),
                "yaml-feature",
                '"<<" copies fields from elsewhere in YAML; a handbook does not use that.',
                "Write the fields out.",
            )
            return None
        if not event.value.strip():
            self.report(
                self._at(event),
                "yaml-syntax",
                "A name is missing before this colon.",
                "Write the field's name, or delete the line.",
            )
            return None
        value = plain_scalar(event.value) if not event.style else event.value
        if isinstance(value, int) and not isinstance(value, bool):
            return int(value)
        return FORBIDDEN.sub(" ", event.value)

    def _glued(self, place: Place, path: FieldPath, text: str) -> None:
        """`{label:Soprano}`, which YAML takes for a name without a value."""
        name, _, value = text.partition(":")
        self.unread.add((*path, name))
        self.report(
            place.at(place.line, place.column + len(name)),
            "yaml-syntax",
            "A space is missing after this colon.",
            f"Write: {clip(name)}: {clip(value)}",
        )

    def _twice(self, place: Place, field: FieldPath) -> None:
        self.report(
            place,
            "yaml-duplicate",
            f'The field "{clip(field[-1])}" appears here a second time;'
            f" it is already on line {self.names[field].line}.",
            "Keep one of the two.",
        )


def _is_glued(name: yaml.NodeEvent, value: yaml.NodeEvent) -> bool:
    """Whether name and value were written without a space between them, within brackets."""
    if not (isinstance(name, yaml.ScalarEvent) and isinstance(value, yaml.ScalarEvent)):
        return False
    bare = not (name.style or value.style or value.value)
    return bare and ":" in name.value.strip(":")


def _on_the_line(value: yaml.NodeEvent) -> bool:
    """Whether a value is written behind its field's name, and not on the lines below it."""
    if isinstance(value, yaml.ScalarEvent):
        return bool(value.value or value.style)
    return isinstance(value, yaml.CollectionStartEvent) and bool(value.flow_style)
