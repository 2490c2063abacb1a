"""Reports music that is not in a proper fence and would be printed as text instead of engraved.

Music is written in a *fence*: between a line of three backticks with the word `degrees` or `abc`,
and a line of three backticks. The usual mistake is in the first of these lines: three quotes
instead of three backticks, no word after them, or no such line. The result is still valid Markdown,
so only the look of a line (`notation_signs`) shows that it was meant as music. To avoid false
reports, only lines that can hardly be anything else count. An author who wants to show notation as
text puts it between backticks, or in a fence with the word `text`.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import islice

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.fences import Fence, mark
from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.model import FENCE_NOTATIONS, Source
from chorus_handbook.entries.notation_signs import (
    SINGERS,
    begins_abc,
    goes_on,
    is_abc_field,
    is_header,
    is_sung,
)
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import clip

#: Words after the marks of a fence which say that it is meant as text, even if it looks like music.
_SHOWN_AS_TEXT = frozenset("text txt plain markdown md yaml yml".split())
#: The sign that begins an item of a list, or a quotation.
_LIST = re.compile(r"(?:[-+*>]|\d{1,3}\.)[ \t]+")
#: The line of hyphens below the first row of a table.
_TABLE_RULE = re.compile(r"\|?[ \t]*:?--[ \t|:-]*")

#: A line that was probably meant to open a fence, perhaps inside a list: marks of any sort (such
#: as three quotes) and one word.
_MARKS = re.compile(
    r"[ \t]*(?:(?:[-+*>]|\d{1,3}\.)[ \t]+)*"
    r"(?P<marks>[`´]|[`'\"´‘’‚‛“”„‟′″‴‵~˜～∼]{2,12}|[-–—=:]{3,12})"
    r"[ \t]*\{?\.?(?P<word>[A-Za-z]{2,12})\}?[ \t]*"
)
#: A line that was probably meant to close a fence: marks without a word.
_ONLY_MARKS = re.compile(r"[ \t]*[`'\"´‘’‚‛“”„‟′″‴‵~˜～∼:=–—-]{2,12}[ \t]*")
#: Marks that do open a fence.
_REAL_MARKS = re.compile(r"`{3,}|~{3,}")

_AS_TEXT = 'If it is meant to be shown as text, write "```text" above it instead.'


def check_text(source: Source, kind: Kind[Fields], chorus: Chorus | None) -> list[Problem]:
    """One problem for each place with music in the text of a file. The voices and groups of the
    `chorus`, if it could be read, help to recognise lines such as "soprano: 1 2 3 |"."""
    advice = (_SECOND if source.notation else _FENCE_IT) if kind.notation else _MOVE_IT
    place = Place(source.path, source.first_line)
    return stray_notation(source.text, place, _names(chorus), advice)


def _names(chorus: Chorus | None) -> frozenset[str]:
    """The words for singers with which a line of music may begin."""
    return SINGERS | (frozenset((*chorus.voices, *chorus.groups)) if chorus else frozenset())


@dataclass(frozen=True, slots=True)
class Advice:
    """The hints for one file: what to do about music in `degrees`, and about music in `abc`. `page`
    says whether the file is of a kind that cannot contain music at all."""

    degrees: str
    abc: str
    page: bool = False


def _fence_it(kind: str) -> str:
    return (
        f'Write "```{kind}" (three backticks and the word) on a line above the music, and "```" '
        "alone on a line below it."
    )


_FENCE_IT = Advice(_fence_it("degrees"), _fence_it("abc"))
_ONE_PIECE = (
    "An exercise has only one piece of music: move this music to an exercise of its own, and name "
    f'that exercise in the field "related". {_AS_TEXT}'
)
_SECOND = Advice(_ONE_PIECE, _ONE_PIECE)
_ELSEWHERE = (
    f'Move the music to a file in the folder "exercises/", and link to that file here. {_AS_TEXT}'
)
_MOVE_IT = Advice(_ELSEWHERE, _ELSEWHERE, page=True)
_ON_A_PAGE = "This file is not an exercise, so the music in it would be printed as text."


def stray_notation(
    markdown: str, place: Place, names: Collection[str], advice: Advice = _FENCE_IT
) -> list[Problem]:
    """One problem for each place with music in a Markdown text that begins at `place`. The caller
    has removed the music in proper fences, which is not reported. `names` are words for singers,
    such as "soprano"."""
    return list(_Text(markdown, place, names, advice).problems())


class _Text:
    """The search for music in one text, line by line."""

    def __init__(self, markdown: str, place: Place, names: Collection[str], advice: Advice) -> None:
        marked = mark(markdown)
        self._lines = marked.text.split("\n")
        self._fences = marked.fences
        self._place = place
        self._names = names
        self._advice = advice
        self._closed: set[int] = set()  # the numbers of lines in fences
        for fence in marked.fences:
            if fence.last is not None:
                self._closed |= set(range(fence.first, fence.last + 1))
            elif not advice.page:  # `body` reports that it is never closed
                self._closed |= set(range(fence.first, len(self._lines)))
        self._tables = _table_rows(self._lines)

    def problems(self) -> Iterator[Problem]:
        for fence in self._fences:
            found = self._in_fence(fence)
            if found:
                yield self._problem(fence.first, *found)
        number = 0
        while number < len(self._lines):
            found = None if number in self._closed else self._at(number)
            if found is None:
                number += 1
                continue
            yield self._problem(number, *found)
            number = self._after(number + 1)

    def _problem(self, number: int, message: str, hint: str) -> Problem:
        line = self._lines[number]
        column = 1 + len(line) - len(line.lstrip())
        return Problem(self._place.at(self._place.line + number, column), "fence", message, hint)

    def _in_fence(self, fence: Fence) -> tuple[str, str] | None:
        """The message and the hint for a closed fence that contains music, but has a wrong word or
        none after its marks; None if it is not such a fence."""
        if fence.last is None:
            return None
        word = fence.info.split(maxsplit=1)[0].strip("{}.").lower() if fence.info else ""
        if word in _SHOWN_AS_TEXT:
            return None
        if word in FENCE_NOTATIONS:  # on a page; in an exercise it has been taken out of the text
            return (_ON_A_PAGE, self._advice.degrees)
        inside = range(fence.first + 1, fence.last)
        kind = next((kind for n in inside if (kind := self._kind(n))), None)
        if kind is None or (word and did_you_mean(word, FENCE_NOTATIONS) and not self._advice.page):
            return None  # `body` reports the misspelled word
        if self._advice.page:
            return (_ON_A_PAGE, self._advice.degrees)
        what = f'has the word "{clip(word)}"' if word else "has no word"
        return (
            f'The line "{fence.marks}" {what} after it, so the music below would be printed as '
            "text.",
            f'Write "{fence.marks}{kind}" on this line. {_AS_TEXT}'
            if self._advice is _FENCE_IT
            else self._advice.degrees,
        )

    def _at(self, number: int) -> tuple[str, str] | None:
        """The message and the hint if the line with this number (from 0) begins music, or was meant
        to open a fence with music; None for any other line."""
        line = self._lines[number]
        found = _MARKS.fullmatch(line)
        if found and (kind := _meant(found["word"])):
            if _REAL_MARKS.fullmatch(found["marks"]) and not line.startswith(found["marks"]):
                return (
                    "This line is indented, so the music below it would be printed as text.",
                    f'Write "{found["marks"]}{kind}" at the left edge, without spaces before it.',
                )
            if not _REAL_MARKS.fullmatch(found["marks"]):
                hint = self._advice.abc if kind == "abc" else self._advice.degrees
                if self._advice is _FENCE_IT:
                    hint = (
                        f'Write "```{kind}" (three backticks and the word) on this line, and "```" '
                        "alone on a line below the music."
                    )
                return (
                    f'The line "{clip(line.strip())}" does not mark music, so what is below it '
                    "would be printed as text.",
                    hint,
                )
        kind = self._kind(number)
        if kind is None:
            return None
        return (
            f'This line looks like music, but there is no line "```{kind}" above it, so it would '
            "be printed as text.",
            self._advice.abc if kind == "abc" else self._advice.degrees,
        )

    def _kind(self, number: int) -> str | None:
        """The notation of the line with this number, "degrees" or "abc", if it can hardly be
        anything but music; None for other lines."""
        line = self._lines[number].strip()
        if not line or number in self._tables:
            return None
        if self._is_degrees(number, line):
            return "degrees"
        return "abc" if self._is_abc(number) else None

    def _is_degrees(self, number: int, line: str) -> bool:
        """Whether the line with this number, which is `line` without spaces around it, is music in
        `degrees`."""
        begins = number == 0 or not self._lines[number - 1].strip() or number - 1 in self._closed
        if begins and is_header(line):
            return True
        if line.startswith("words:"):
            return begins and self._kind_below(number) == "degrees"
        listed = _LIST.match(line)
        return is_sung(line[listed.end() :] if listed else line, self._names, listed is not None)

    def _kind_below(self, number: int) -> str | None:
        """The notation of the line below this line of syllables."""
        while number < len(self._lines) and self._lines[number].strip().startswith("words:"):
            number += 1
        return self._kind(number) if number < len(self._lines) else None

    def _is_abc(self, number: int) -> bool:
        """Whether the header of a tune in ABC begins with this line."""
        if number and is_abc_field(self._lines[number - 1].strip()):
            return False
        return begins_abc(line.strip() for line in islice(self._lines, number, None))

    def _after(self, number: int) -> int:
        """The number of the line, from `number` on, with which the music that began above has
        ended."""
        last = number
        while number < len(self._lines) and number not in self._closed:
            line = self._lines[number].strip()
            if line and not (_ONLY_MARKS.fullmatch(line) or goes_on(line)):
                break
            number += 1
            last = number if line else last
        return last


def _meant(word: str) -> str | None:
    """The notation, "degrees" or "abc", that has this name or nearly this name; None if there is
    none."""
    close = did_you_mean(word, FENCE_NOTATIONS)
    return next(
        (kind for kind in FENCE_NOTATIONS if kind == word.lower() or f'"{kind}"' in close), None
    )


def _table_rows(lines: list[str]) -> set[int]:
    """The numbers of the lines of Markdown tables: a row, the line of hyphens below it, and all
    lines that follow up to the next empty one."""
    rows: set[int] = set()
    for number, line in enumerate(lines):
        if number and "|" in lines[number - 1] and _TABLE_RULE.fullmatch(line.strip()):
            end = number
            while end < len(lines) and lines[end].strip():
                end += 1
            rows |= set(range(number - 1, end))
    return rows
