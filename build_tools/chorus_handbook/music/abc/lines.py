"""Sorts the text of an ABC tune into fields and lines of music (ABC 2.1, sections 2 and 3).

A field is a line such as `M:3/4`. Comments and empty space are dropped, and a line that continues a
field (`+:`) is joined to it. A directive (`%%`) is read like the field `I:`. What the fields say,
and the music, is read by other modules. A line that is neither, or stands in the wrong place, is
reported.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from chorus_handbook.problems import Place, Problem

#: Letters of fields that do not change the sound: titles, sources, remarks, and so on.
IGNORED = frozenset("XTCOABDFGHNRSZr")
#: Letters of fields that are read. (`Q:` only to report a change of tempo: the tempo itself is
#: stated in the front matter.)
READ = frozenset("MLKVPQUwI")

#: The beginning of a field; "A:|" is a note and a repeat sign.
_FIELD = re.compile(r"([A-Za-z+])[ \t]*:(?![|:])")
_DIRECTIVE = re.compile(r"[ \t]*%%")
#: Blocks of directives (section 11.4): %%begintext to %%endtext, %%beginps to %%endps ...
BEGIN_BLOCK = re.compile(r"[ \t]*%%[ \t]*begin([a-z]+)")
END_BLOCK = re.compile(r"[ \t]*%%[ \t]*end([a-z]+)")
#: The beginning of a comment; "\%" is a percent sign.
_COMMENT = re.compile(r"(?<!\\)%")
#: Fields that are not supported: what each does, and what to write instead.
_UNSUPPORTED = {
    "m": ('"m:" defines a macro', "Write the notes out."),
    "s": ('"s:" is a line of signs for the notes above it', "Write each sign before its note."),
    "W": (
        '"W:" contains words to be printed below the tune',
        'Write sung syllables after "w:" and everything else in the text of the exercise.',
    ),
}


@dataclass(frozen=True, slots=True)
class LineText:
    """A piece of one line of the file; `place` is the place of its first character."""

    text: str
    place: Place


@dataclass(slots=True)
class TuneLine:
    """A field with its letter, or a line of music, whose letter is empty. `texts` has one piece for
    each line of the file, because a field may continue on further lines."""

    letter: str
    place: Place
    texts: list[LineText] = field(default_factory=list)

    @property
    def text(self) -> str:
        return " ".join(text.text.strip() for text in self.texts).strip()


@dataclass(frozen=True, slots=True)
class Tune:
    """A tune: its lines up to `K:`, which are fields (`head`), and all further lines (`body`)."""

    head: Sequence[TuneLine] = ()
    body: Sequence[TuneLine] = ()


def read_tune(text: str, place: Place) -> tuple[Tune, list[Problem]]:
    """Separate the text of a tune, which begins at `place`, into its fields and lines of music.
    Returns the tune and the problems."""
    reader = _TuneSorter()
    for index, written in enumerate(text.split("\n")):
        if not reader.take(written, place.at(place.line + index)):
            break
    tune = reader.finish(place)
    return tune, reader.problems


class _TuneSorter:
    """Sorts the lines of a tune one after another."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self._lines: list[TuneLine] = []
        self._last: TuneLine | None = None  # the field or line of music before
        self._gap = False  # whether an empty line has ended the tune
        self._block = ""  # the kind of the block that is open, such as "text" after %%begintext
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
                "A second tune begins here, but an exercise has only one.",
                "Move this tune to an exercise of its own, or delete it.",
            )
            return False
        if self._gap:
            self._gap = False
            self._complain(
                at,
                "There is an empty line above this line; in ABC it ends the tune.",
                'Delete the empty line, or write only "%" on it.',
            )
        end = found.end() if found else start
        self._sort(letter, at, LineText(content[end:], place.at(place.line, end + 1)))
        return True

    def finish(self, place: Place) -> Tune:
        """Divide the lines into the head (up to the key) and the body."""
        if self._block and self._block_place:
            self._complain(
                self._block_place,
                f'The block that "%%begin{self._block}" opens here never ends, so everything below '
                "it is left out.",
                f'Write "%%end{self._block}" after its last line.',
            )
        lines = self._lines
        key = next((n for n, line in enumerate(lines) if line.letter == "K"), len(lines))
        notes = next((n for n, line in enumerate(lines) if not line.letter), len(lines))
        if key >= notes and lines:
            self._complain(
                lines[notes].place if notes < len(lines) else place,
                'This music has no key: there is no "K:" above the notes.',
                'Write the key on the last line above the notes, such as "K:C", "K:Dm" or '
                '"K:Amix".',
                "notation-header",
            )
        end = min(key + 1, notes)
        for line in lines[:end]:
            if line.letter == "w":
                self._complain(
                    line.place,
                    "These words stand above the notes.",
                    'Move the line "w:" below the notes that sing the words.',
                )
        return Tune(lines[:end], lines[end:])

    def _sort(self, letter: str, at: Place, text: LineText) -> None:
        """Add a field with this letter, a line of music (no letter), or what continues the field
        before ("+")."""
        if letter == "+":
            if self._last is None or not self._last.letter:
                self._complain(
                    at,
                    '"+:" continues a field, but the line above is not a field.',
                    'Write the letter of the field, such as "w:".',
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
                f'"{letter}:" is not a field of ABC 2.1.',
                'Delete this line, or begin it with "N:" if it is a remark for people. The fields '
                'that the handbook reads are "M:", "L:", "K:", "V:", "P:", "U:" and "w:".',
            )
        else:
            self._lines.append(line)

    def _complain(self, place: Place, message: str, hint: str, code: str = "notation-line") -> None:
        self.problems.append(Problem(place, code, message, hint))
