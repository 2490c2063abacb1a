"""Reads the fields at the top of a file, between two lines of three hyphens (the front matter).

`cut` separates them from the text below; `read_front` reads them as YAML and validates them;
`change_front` changes single fields and leaves the rest of the file as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.problems import CODES, Place, Problem, did_you_mean, in_quotes
from chorus_handbook.source import Document, clip, read_yaml, validate
from chorus_handbook.source.field_editor import FieldEditor

#: A line of three hyphens.
_RULE = re.compile(r"---[ \t]*")
#: What people, other programs and word processors write in place of three hyphens.
_NEARLY = re.compile(r"[ \t]*(?:-{2,}|—|–|\+{3,}|\.{3})[ \t]*")

_FIRST = (
    'Begin the file with "---" alone on a line, then write one field on each line, then "---" '
    "alone on a line again."
)
_LAST = 'Write "---" on a line of its own after the last field.'


@dataclass(frozen=True, slots=True)
class Cut:
    """A file in two parts: the fields (`front`) and the text below them (`body`), each with the
    number of the line of the file on which it begins. `front` is None when the file has no fields,
    or their end cannot be found."""

    front: str | None
    body: str
    body_line: int
    front_line: int = 2


def cut(text: str, path: str, kind: Kind[Fields]) -> tuple[Cut, list[Problem]]:
    """Separate the fields of a file from its body. Returns the two parts, and the problems of wrong
    or missing lines of hyphens.

    A line that is nearly right, such as `--` or a dash, is reported but still ends the fields, so
    that errors in them are found in the same run. A file whose kind has only optional fields need
    not have any.
    """
    if not kind.required and not text.startswith("---"):
        return Cut(None, text, 1), []
    lines = text.split("\n")
    problems: list[Problem] = []

    def complain(line: int, message: str, hint: str) -> None:
        problems.append(Problem(Place(path, line + 1), "front-matter", message, hint))

    first = next((i for i, line in enumerate(lines) if line.strip()), 0)
    if not _NEARLY.fullmatch(lines[first]):
        complain(
            first, f"The fields of the {kind.name} are missing at the top of this file.", _FIRST
        )
        return Cut(None, text, 1), problems
    if not _RULE.fullmatch(lines[first]):
        complain(first, f'The first line is "{clip(lines[first])}", not three hyphens.', _FIRST)
    elif first > 0:
        complain(0, "There are empty lines before the first line of three hyphens.", _FIRST)
    last = _end(lines, first)
    if last is None:
        complain(
            first,
            "The fields at the top of this file do not end: "
            'the line "---" below the last of them is missing.',
            _LAST,
        )
        return Cut(None, "", 1), problems[-1:]
    if not _RULE.fullmatch(lines[last]) and not problems:
        complain(last, f'The fields end with "{clip(lines[last])}", not with three hyphens.', _LAST)
    front = "\n".join(lines[first + 1 : last])
    if not front.strip():
        complain(first, "There is nothing between the two lines of three hyphens.", _fill(kind))
    return Cut(front, "\n".join(lines[last + 1 :]), last + 2, first + 2), problems


def change_front(
    text: str, path: str, kind: Kind[Fields], change: Callable[[FieldEditor], None]
) -> str:
    """The text of a file after `change` was applied to its fields, which must be YAML without
    syntax errors. A file without fields stays as it is."""
    parts, _ = cut(text, path, kind)
    if parts.front is None or not parts.front.strip():
        return text
    fields = FieldEditor(parts.front + "\n")
    change(fields)
    lines = text.split("\n")
    start = parts.front_line - 1
    lines[start : start + parts.front.count("\n") + 1] = fields.text.removesuffix("\n").split("\n")
    return "\n".join(lines)


def _end(lines: list[str], first: int) -> int | None:
    """The number (from 0) of the line that ends the fields, which begin below line `first`: the
    next line of three hyphens or, without such a line, the next that is nearly one. None if there
    is neither."""
    for rule in (_RULE, _NEARLY):
        for number in range(first + 1, len(lines)):
            if rule.fullmatch(lines[number]):
                return number
    return None


def _fill(kind: Kind[Fields]) -> str:
    """The hint for a file of this kind without any field between the lines of hyphens."""
    if not kind.required:
        return 'Write one field on each line, or delete the two lines "---".'
    return (
        'Write one field on each line, such as "title: Slack water". The fields that '
        f"{kind.one} must have are {in_quotes(kind.required)}."
    )


def read_front(
    kind: Kind[Fields], front: str, path: str, first_line: int = 2
) -> tuple[Fields | None, Document | None, list[Problem]]:
    """Read and validate the fields in `front`, which begin on line `first_line` of the file.

    Returns three things: the fields, or None if anything is wrong; the YAML document with the place
    of each field, or None if it is not YAML; and the problems.
    """
    document, problems = read_yaml(front, Place(path), first_line)
    if document is None:
        return None, None, problems
    fields, field_problems = validate(kind.fields, document)
    problems = [*problems, *field_problems]
    if "answers" in kind.fields.model_fields:
        problems += _check_codes(document)
    return (None if problems else fields), document, problems


def needs(front: FrontMatter, document: Document, has_notes: bool) -> list[Problem]:
    """Report the fields `tempo` and `keys` if they are missing in an exercise with notes."""
    if not has_notes:
        return []
    needed = {"tempo": "tempo: 84", "keys": "keys: C4 up to G4"}
    return [
        Problem(
            document.place_of(),
            "field-missing",
            f'The field "{name}" is missing: an exercise with notes needs it.',
            f'Add a line to the fields at the top: "{example}".',
        )
        for name, example in needed.items()
        if getattr(front, name) is None
    ]


def _check_codes(document: Document) -> list[Problem]:
    """Report each entry of the field `answers` that is not the code of a notice. (Errors cannot be
    answered; they must be fixed.)"""
    answers = document.data.get("answers")
    if not isinstance(answers, dict):
        return []
    notices = [code for code, severity in CODES.items() if severity == "notice"]
    problems = []
    for code in map(str, answers):
        if code in notices:
            continue
        if code in CODES:
            message = f'"{code}" is the code of an error, but only notices can be answered.'
            hint = "Fix the error itself, and delete this line."
        else:
            message = f'There is no notice "{code}".{did_you_mean(code, notices)}'
            hint = (
                'Write the word that "handbook check" shows in [brackets] after the word "notice".'
            )
        problems.append(Problem(document.name_of("answers", code), "word-unknown", message, hint))
    return problems
