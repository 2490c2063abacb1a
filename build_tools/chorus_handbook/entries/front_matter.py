"""The text between the two --- lines: cut out, read, and held against the typed fields."""

from __future__ import annotations

import re
from dataclasses import dataclass

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.problems import CODES, Place, Problem, did_you_mean
from chorus_handbook.source import Document, read_yaml, validate

_RULE = re.compile(r"---[ \t]*")
_REQUIRED = [name for name, field in FrontMatter.model_fields.items() if field.is_required()]


@dataclass(frozen=True, slots=True)
class Cut:
    """A file in two: `front` (None when there is none that can be told from the body), and the
    body, whose first line is line `body_line` of the file."""

    front: str | None
    body: str
    body_line: int


def cut(text: str, path: str) -> tuple[Cut, list[Problem]]:
    """Cut a file where its front matter ends."""
    lines = text.split("\n")
    first = next((i for i, line in enumerate(lines) if line.strip()), 0)
    whole = Cut(None, text, 1)
    if not _RULE.fullmatch(lines[first]):
        if re.fullmatch(r"\s*(-{2,}|—|–)\s*", lines[first]):
            message = f'The first line is "{lines[first].strip()}", not three hyphens.'
        else:
            message = "The fields of the exercise are missing."
        return whole, [_problem(Place(path, first + 1), message, "first")]
    if first > 0:
        message = "Something empty stands before the first line of three hyphens."
        return whole, [_problem(Place(path), message, "first")]
    last = next((i for i, line in enumerate(lines[1:], 1) if _RULE.fullmatch(line)), None)
    if last is None:
        message = "The second line of three hyphens, which ends the fields, is missing."
        return Cut(None, "", 1), [_problem(Place(path), message, "last")]
    front = "\n".join(lines[1:last])
    cut_up = Cut(front, "\n".join(lines[last + 1 :]), last + 2)
    if not front.strip():
        message = "There is nothing between the two lines of three hyphens."
        return cut_up, [_problem(Place(path), message, "empty")]
    return cut_up, []


_HINTS = {
    "first": "The first line of the file is --- alone, then the fields, then --- alone again.",
    "last": "Write --- on a line of its own after the last field.",
    "empty": f"Write one field a line; needed are {', '.join(_REQUIRED)}.",
}


def _problem(place: Place, message: str, hint: str) -> Problem:
    return Problem(place, "front-matter", message, _HINTS[hint])


def read_front(front: str, path: str) -> tuple[FrontMatter | None, Document | None, list[Problem]]:
    """The typed fields, the document with their places, and what is wrong with them."""
    document, problems = read_yaml(front, Place(path), first_line=2)
    if document is None:
        return None, None, problems
    typed, more = validate(FrontMatter, document)
    problems = [*problems, *more, *_answers(document)]
    return (None if problems else typed), document, problems


def needs(front: FrontMatter, document: Document, notated: bool) -> list[Problem]:
    """With notation an exercise needs a tempo and keys."""
    if not notated:
        return []
    wanted = {"tempo": "tempo: 84", "keys": "keys: C4 up to G4"}
    return [
        Problem(
            document.place_of(),
            "field-missing",
            f'The field "{name}" is missing; an exercise with notes needs it.',
            f'Add a line such as "{example}".',
        )
        for name, example in wanted.items()
        if getattr(front, name) is None
    ]


def _answers(document: Document) -> list[Problem]:
    """Only notices can be answered; an error has to be mended."""
    answers = document.data.get("answers")
    if not isinstance(answers, dict):
        return []
    notices = [code for code, severity in CODES.items() if severity == "notice"]
    problems = []
    for code in map(str, answers):
        if code in notices:
            continue
        if code in CODES:
            message = f'"{code}" is an error; it can be mended, not answered.'
            hint = "Mend what it names, and delete this line."
        else:
            message = f'There is no notice "{code}".{did_you_mean(code, notices)}'
            hint = "Write the word that stands in [brackets] in the notice."
        problems.append(Problem(document.name_of("answers", code), "word-unknown", message, hint))
    return problems
