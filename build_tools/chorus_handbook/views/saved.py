"""Reads views.yml: the views, each with the rule that its conditions make.

The file is a list, but our YAML reader expects a file to consist of fields, so a line `views:` is
put before the list. A view with errors is left out; the others are still used.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.entries.model import Entries, FrontMatter
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import Document, clip, read_text, read_yaml, renamed_field, validate
from chorus_handbook.source.names import TAKEN_ADDRESSES
from chorus_handbook.views.conditions import ConditionError, read_condition
from chorus_handbook.views.evaluate import Condition, Rule
from chorus_handbook.views.fields import FIELDS
from chorus_handbook.views.model import SavedView

FILE = "views.yml"
#: The field that is put before the list.
_LIST = "views"
#: The beginning of a list item ("- slug: …") or of a field ("views:").
_ITEM_OR_FIELD = re.compile(r"\s*(-(\s|$)|[^\s\[{-][^:]*:(\s|$))")
_NO_LIST_MESSAGE = "This file must be a list of views."
_FORM_HINT = (
    'Begin each view with "- slug:", and indent title, intro, where and order by two spaces.'
)


@dataclass(frozen=True, slots=True)
class PlacedView:
    """A view without errors: its fields as written, its rule, and the document with the places of
    its fields."""

    view: SavedView
    rule: Rule
    document: Document

    @property
    def place(self) -> Place:
        return self.document.place


def read_saved(
    root: Path, entries: Entries, config: ChorusConfig
) -> tuple[list[PlacedView], list[Problem]]:
    """Read views.yml of the handbook `root`. Returns its views in file order and the problems; both
    are empty when there is no such file."""
    path = root / FILE
    if not os.path.lexists(path):
        return [], []
    shown = f"{root.name}/{FILE}"
    text, problems = read_text(path, shown)
    if text is None:
        return [], problems
    items, more = _items(text.split("\n"), Place(shown))
    problems += more
    views = []
    for item in items:
        view, more = _view(item, entries, config)
        problems += more
        if view is not None:
            views.append(view)
    problems += _duplicates(views)
    return views, problems


def _items(lines: list[str], place: Place) -> tuple[list[Document], list[Problem]]:
    """The views in the lines of views.yml, each as a document of its own with the places of its
    fields; and the problems of the list as a whole."""
    first = _first_line(lines)
    if first is not None and lines[first].rstrip() == "---":  # allowed in YAML, without a meaning
        lines[first] = ""
        first = _first_line(lines)
    if first is None:
        return [], []
    if not _ITEM_OR_FIELD.match(lines[first]):
        return [], [Problem(place.at(first + 1), "field-value", _NO_LIST_MESSAGE, _FORM_HINT)]
    named = any(line.startswith(f"{_LIST}:") for line in lines)
    text = "\n".join(lines if named else [f"{_LIST}:", *lines])
    document, problems = read_yaml(text, place, first_line=1 if named else 0)
    # Problems on the line that we added are reported on the first line of the file.
    problems = [
        replace(problem, place=problem.place.at(max(problem.place.line, 1), problem.place.column))
        for problem in problems
    ]
    if document is None:
        return [], problems
    others = [name for name in document.data if name != _LIST]
    views = document.data.get(_LIST)
    if others or not isinstance(views, list | None):
        at = document.name_of(*others[:1]) if others else place
        problems.append(Problem(at, "field-value", _NO_LIST_MESSAGE, _FORM_HINT))
        return [], problems
    items = []
    for index, view in enumerate(views or ()):
        if isinstance(view, dict):
            items.append(_item_document(document, view, index))
        else:
            at = document.place_of(_LIST, index)
            problems.append(Problem(at, "field-value", "This item is not a view.", _FORM_HINT))
    return items, problems


def _first_line(lines: list[str]) -> int | None:
    """The number (from 0) of the first line that is neither empty nor a comment."""
    for number, line in enumerate(lines):
        if line.strip() and not line.lstrip().startswith("#"):
            return number
    return None


def _item_document(document: Document, data: dict[str | int, object], index: int) -> Document:
    """One item of the list as a document of its own. `document` is the whole list, `data` the item,
    `index` its position from 0."""
    start = (_LIST, index)  # the first two parts of the paths of its fields in the whole document

    def own(places: Mapping[tuple[str | int, ...], Place]) -> dict[tuple[str | int, ...], Place]:
        return {path[2:]: place for path, place in places.items() if path[:2] == start}

    return Document(
        data,
        document.place_of(*start),
        own(document.places),
        own(document.names),
        frozenset(path[2:] for path in document.unread if path[:2] == start),
    )


def _view(
    document: Document, entries: Entries, config: ChorusConfig
) -> tuple[PlacedView | None, list[Problem]]:
    """The view of a document, None if it has errors, and the problems."""
    view, problems = validate(SavedView, document)
    if view is None:
        return None, problems
    reader = _ConditionReader(document, entries, config)
    rule: Rule = {
        "all": reader.group(view.where, "where"),
        "any": [reader.group(group, "any", index) for index, group in enumerate(view.any)],
    }
    problems += reader.problems
    problems += _order(view, document)
    if view.slug in TAKEN_ADDRESSES:
        problems.append(
            Problem(
                document.place_of("slug"),
                "field-value",
                f'A view cannot have the address "{view.slug}" (after "slug:"): its '
                "page would replace the list of all views.",
                'Write another word after "slug:".',
            )
        )
    if not view.where and not view.any:
        problems.append(
            Problem(
                document.place,
                "view-condition",
                f'The view "{view.slug}" has no conditions.',
                'Write "where:" and below it at least one, indented, such as "impact: at most 2".',
            )
        )
    return (None if problems else PlacedView(view, rule, document)), problems


class _ConditionReader:
    """Reads groups of conditions of one view. What is wrong with them is collected in
    `problems`."""

    def __init__(self, document: Document, entries: Entries, config: ChorusConfig) -> None:
        self._document = document
        self._entries = entries
        self._config = config
        self.problems: list[Problem] = []

    def group(self, conditions: Mapping[str, object], *path: str | int) -> list[Condition]:
        """The conditions in one group, which stands at `path` in the view; those that cannot be
        read are left out and reported."""
        read = []
        if not conditions and len(path) > 1:
            self._report(
                self._document.place_of(*path),
                "view-condition",
                "This group has no conditions, so every exercise would be in the list.",
                "Add a condition to the group, or delete the group.",
            )
        for name, value in conditions.items():
            if name not in FIELDS:
                place = self._document.name_of(*path, name)
                self.problems.append(_unknown_field(name, place, conditions))
                continue
            known = FIELDS[name].known(self._config, self._entries)
            try:
                read.append(read_condition(name, value, known))
            except ConditionError as wrong:
                place = self._document.place_of(*path, name)
                self._report(place, "view-condition", str(wrong), wrong.hint)
        return read

    def _report(self, place: Place, code: str, message: str, hint: str) -> None:
        self.problems.append(Problem(place, code, message, hint))


def _order(view: SavedView, document: Document) -> Iterator[Problem]:
    """The problems of the fields after `order:`, by which the view sorts its exercises."""
    for index, name in enumerate(view.order):
        place = document.place_of("order", index)
        if name not in FIELDS:
            yield _unknown_field(name, place, view.order)
        elif FIELDS[name].kind == "words":
            yield Problem(
                place,
                "view-condition",
                f'Exercises cannot be sorted by "{name}", because it can have several values.',
                'Sort by a field with one value, such as "impact", "minutes" or "title".',
            )


def _unknown_field(name: str, place: Place, there: Iterable[str]) -> Problem:
    """The problem of a field that does not exist. Fields in `there` are not suggested."""
    if new := FrontMatter.RENAMED.get(name):
        return renamed_field(place, name, new, "view-field")
    free = [field for field in FIELDS if field not in there]
    return Problem(
        place,
        "view-field",
        f'There is no field "{clip(name)}".{did_you_mean(clip(name), free)}',
        f"A view can ask about {', '.join(FIELDS)}.",
    )


def _duplicates(views: list[PlacedView]) -> Iterator[Problem]:
    """A problem for each slug or title that an earlier view has."""
    slugs: set[str] = set()
    titles: set[str] = set()
    for placed in views:
        view, document = placed.view, placed.document
        if view.slug in slugs:
            yield Problem(
                document.place_of("slug"),
                "slug-twice",
                f'An earlier view in this file already has the address "{view.slug}", which is '
                'written after "slug:".',
                'Write another word after "slug:"; it becomes the address of the page.',
            )
        if comparable(view.title) in titles:
            yield Problem(
                document.place_of("title"),
                "title-twice",
                f'An earlier view in this file already has the title "{view.title}".',
                "Give this one a title of its own.",
            )
        slugs.add(view.slug)
        titles.add(comparable(view.title))
