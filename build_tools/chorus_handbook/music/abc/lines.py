"""Sorts the text of an ABC tune into fields and lines of music (ABC 2.1, sections 2 and 3).

Comments and empty space are dropped, and lines that continue a field are joined to it. A directive
(`%%`) is read like the field `I:`. The contents of fields and music are read elsewhere. A line that
belongs nowhere is reported.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from chorus_handbook.problems import Place, Problem

#: Fields that do not change the sound: titles, sources, remarks, and the layout of pages.
IGNORED = frozenset("XTCOABDFGHNRSZr")
#: Fields that are read. (`Q:` only to report a change of tempo: the tempo itself is stated in the
#: front matter.)
READ = frozenset("MLKVPQUwI")

_FIELD = re.compile(r"([A-Za-z+])[ \t]*:(?![|:])")
_DIRECTIVE = re.compile(r"[ \t]*%%")
#: Blocks of directives (section 11.4): %%begintext to %%endtext, %%beginps to %%endps ...
BEGIN_BLOCK = re.compile(r"[ \t]*%%[ \t]*begin([a-z]+)")
END_BLOCK = re.compile(r"[ \t]*%%[ \t]*end([a-z]+)")
_COMMENT = re.compile(r"(?<!\\)%")
#: Fields that are not supported: what each does, and what to write instead.
_UNSUPPORTED = {
    "m": ("m: defines a macro", "Write the notes out."),
    "s": ("s: is a line of signs for the notes above it", "Write each sign before its note."),
    "W": (
        "W: holds words to be printed below the tune",
        "Write sung syllables after w: and everything else in the text of the exercise.",
    ),
}


@dataclass(frozen=True, slots=True)
class LineText:
    """Text that stands together on one line; `place` is that of its first character."""

    text: str
    place: Place


@dataclass(slots=True)
class TuneLine:
    """A field with its letter, or a line of music, whose letter is "". A field that continues on
    further lines has one more text for each."""

    letter: str
    place: Place
    texts: list[LineText] = field(default_factory=list)

    @property
    def text(self) -> str:
        return " ".join(text.text.strip() for text in self.texts).strip()


@dataclass(frozen=True, slots=True)
class Tune:
    """A tune: its fields up to the key, and all that follows."""

    head: Sequence[TuneLine] = ()
    body: Sequence[TuneLine] = ()


def read_tune(text: str, place: Place) -> tuple[Tune, list[Problem]]:
    """Sort the lines of a text that begins at `place`."""
    reader = _TuneSorter()
    for index, written in enumerate(text.split("\n")):
        if not reader.take(written, place.at(place.line + index)):
            break
    tune = reader.finish(place)
    return tune, reader.problems


class _TuneSorter:
    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self._lines: list[TuneLine] = []
        self._last: TuneLine | None = None
        self._gap = False  # an empty line has ended the tune
        self._block = ""  # the kind of block that a %%begin has opened
        self._block_place: Place | None = None

    def take(self, written: str, place: Place) -> bool:
        """Sort one line. Returns whether more lines of this tune may follow."""
        if self._block:  # its lines are text to be printed or a program for a printer: skip them
            ended = END_BLOCK.match(written)
            self._block = "" if ended and ended[1] == self._block else self._block
            return True
        begun = BEGIN_BLOCK.match(written)
        if begun:
            column = begun.start(1) + 1 - len("%%begin")  # usually that of the first %
            self._block, self._block_place = begun[1], place.at(place.line, column)
            return True
        directive = _DIRECTIVE.match(written)
        if directive:
            end = directive.end()
            text = LineText(written[end:].rstrip(), place.at(place.line, end + 1))
            self._lines.append(TuneLine("I", place.at(place.line, end - 1), [text]))
            return True
        comment = _COMMENT.search(written)
        content = (written[: comment.start()] if comment else written).rstrip()
        start = len(content) - len(content.lstrip())
        at = place.at(place.line, start + 1)
        if not content:
            # A line that contains only a comment does not count as empty.
            self._gap = self._gap or (not comment and self._last is not None)
            return True
        found = _FIELD.match(content, start)
        letter = found[1] if found else ""
        if letter == "X" and self._last is not None:
            self._complain(
                at,
                "A second tune begins here; an exercise has one.",
                "Make it an exercise of its own.",
            )
            return False
        if self._gap:
            self._gap = False
            self._complain(
                at,
                "An empty line stands above this one; in ABC it ends the tune.",
                "Delete the empty line, or write only % on it.",
            )
        end = found.end() if found else start
        self._sort(letter, at, LineText(content[end:], place.at(place.line, end + 1)))
        return True

    def finish(self, place: Place) -> Tune:
        """Divide the lines into the head (up to the key) and the body."""
        if self._block and self._block_place:
            self._complain(
                self._block_place,
                f"This block never ends, so everything below it is left out: %%begin{self._block}",
                f"Write %%end{self._block} after its last line.",
            )
        lines = self._lines
        key = next((n for n, line in enumerate(lines) if line.letter == "K"), len(lines))
        notes = next((n for n, line in enumerate(lines) if not line.letter), len(lines))
        if key >= notes and lines:
            self._complain(
                lines[notes].place if notes < len(lines) else place,
                "This music has no key: there is no K: above the notes.",
                "Write the key on the last line above the notes, such as K:C, K:Dm or K:Amix",
                "notation-header",
            )
        end = min(key + 1, notes)
        for line in lines[:end]:
            if line.letter == "w":
                self._complain(
                    line.place,
                    "These words stand above the notes.",
                    "Write w: below the notes that it belongs to.",
                )
        return Tune(lines[:end], lines[end:])

    def _sort(self, letter: str, at: Place, text: LineText) -> None:
        if letter == "+":
            if self._last is None or not self._last.letter:
                self._complain(
                    at,
                    "+: continues a field, but the line above is not a field.",
                    "Write the letter of the field, such as w:",
                )
            else:
                self._last.texts.append(text)
            return
        self._last = line = TuneLine(letter, at, [text])
        if letter in _UNSUPPORTED:
            what, hint = _UNSUPPORTED[letter]
            self._complain(at, f"{what}; the handbook does not support that.", hint)
        elif letter and letter not in READ | IGNORED:
            self._complain(
                at,
                f"{letter}: is not a field of ABC 2.1.",
                "The handbook reads M: L: K: V: P: U: and w:. Delete this line, or write N: for "
                "a note to whoever reads the text.",
            )
        else:
            self._lines.append(line)

    def _complain(self, place: Place, message: str, hint: str, code: str = "notation-line") -> None:
        self.problems.append(Problem(place, code, message, hint))
