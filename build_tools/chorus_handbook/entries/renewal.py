"""Brings files of an older format up to the present one, as `handbook renew` does.

`STEPS` is the table of all formats: what each changed, and how a file is changed accordingly. Only
the names and values concerned are changed; comments, order and layout stay as they are. A step may
be repeated: a file that it has changed, or that needs no change, stays the same.
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
    """How files become those of the format `leads_to` from those of the format before. `change`
    takes the path of a file below the handbook's folder and its text, and returns the new text."""

    leads_to: int
    change: Callable[[str, str], str]


def renewed(path: str, text: str, written_in: int) -> str:
    """The text of a file that is `written_in` an older format, in the present one. `path` is its
    path below the handbook's folder, such as "exercises/low-tide.md". Its YAML must be free of
    syntax errors."""
    for step in STEPS:
        if written_in < step.leads_to:
            text = step.change(path, text)
    return text


def with_format(text: str) -> str:
    """The text of chorus.yml that states the present format."""
    fields = FieldEditor(text)
    if ("format",) in fields:
        fields.replace(("format",), str(FORMAT))
    else:
        fields.insert_first("format", str(FORMAT))
    return fields.text


def _reminder_is_cue(path: str, text: str) -> str:
    """Format 2: the field `reminder` of an exercise, and in views.yml, is called `cue`."""
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
    """Rename a field, unless there is already one of the new name."""
    if (*group, old) in fields and (*group, new) not in fields:
        fields.rename((*group, old), new)


STEPS = (FormatStep(2, _reminder_is_cue),)
