"""Brings files of an older format up to the present one, as `handbook renew` does.

The format gets a new number each time that it changes in a way that makes older files unreadable.
For each such change, `STEPS` has a function that changes files accordingly. It changes only the
names and values concerned; comments, order and layout stay as they are. A step may be repeated: a
file that it has changed already, or that needs no change, stays the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePosixPath

from chorus_handbook.chorus.file_format import FORMAT
from chorus_handbook.entries.front_matter import change_front
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.source.field_editor import FieldEditor

VIEWS = "views.yml"


@dataclass(frozen=True, slots=True)
class FormatStep:
    """How a file of one format is brought to the next format, which has the number `leads_to`.
    `change` takes a file's path, relative to the handbook's folder, and its text; it returns the
    new text."""

    leads_to: int
    change: Callable[[str, str], str]


def renewed(path: str, text: str, written_in: int) -> str:
    """Convert the `text` of a file from the format with the number `written_in` to the present
    format, and return it. `path` is its path below the handbook's folder, such as
    "exercises/low-tide.md". Its YAML must be free of syntax errors."""
    for step in STEPS:
        if written_in < step.leads_to:
            text = step.change(path, text)
    return text


def with_format(text: str) -> str:
    """The text of chorus.yml, changed so that it states the present format."""
    fields = FieldEditor(text)
    if ("format",) in fields:
        fields.replace(("format",), str(FORMAT))
    else:
        fields.insert_first("format", str(FORMAT))
    return fields.text


def _reminder_is_cue(path: str, text: str) -> str:
    """The step to format 2, in which the field `reminder` of an exercise is called `cue`, also in
    the conditions of views.yml."""
    if path == VIEWS:
        return _reminder_is_cue_in_views(text)
    if PurePosixPath(path).parts[0] != EXERCISE.folder:
        return text
    return change_front(text, path, EXERCISE, lambda fields: _rename(fields, (), "reminder", "cue"))


def _reminder_is_cue_in_views(text: str) -> str:
    fields = FieldEditor(text)
    for found in fields.paths():
        match found:
            case (*group, "reminder") if {"where", "any"} & {*group}:
                _rename(fields, tuple(group), "reminder", "cue")
            case (*_, "order", int()) if fields.value(found) == "reminder":
                fields.replace(found, "cue")
    return fields.text


def _rename(fields: FieldEditor, group: tuple[str | int, ...], old: str, new: str) -> None:
    """Rename a field inside `group` (the names and indexes that lead to it), unless there is a
    field with the new name already."""
    if (*group, old) in fields and (*group, new) not in fields:
        fields.rename((*group, old), new)


STEPS = (FormatStep(2, _reminder_is_cue),)
