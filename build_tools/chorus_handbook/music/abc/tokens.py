"""Cuts one line of ABC music into tokens: notes, rests, bar lines, chords and other signs (section
4 of the standard).

`melody` works out what they mean.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

#: The length after a note: "2", "3/2", "/".
_LENGTH = r"\d*(?:/\d+|/*)"
#: One token. The name of the outer group of each alternative is the token's `kind`; the groups
#: inside are its parts. Where several alternatives match, the first one counts.
_TOKEN = re.compile(
    r"(?P<blank>[\s`]+)"
    r"|(?P<inline>\[(?P<letter>[A-Za-z]):(?P<inside>[^\[\]]*)\])"
    r"|(?P<bar>\.?\[?(?P<signs>[|:]+)\]?(?P<ending>\d[\d,.-]*)?)"
    r"|(?P<volta>\[(?P<numbers>\d[\d,.-]*))"
    rf"|(?P<chord>\[(?P<together>[^\[\]|]*)\](?P<lasting>{_LENGTH}))"
    r"|(?P<tuplet>\((?P<p>\d)(?::(?P<q>\d*))?(?::(?P<r>\d*))?)"
    r"|(?P<slur>\.?\(|\))"
    r"|(?P<broken>>+|<+)"
    rf"|(?P<note>(?P<accidental>\^\^?|__?|=)?(?P<step>[A-Ga-g])(?P<octave>[',]*)(?P<length>{_LENGTH}))"
    rf"|(?P<rest>[zx](?P<silence>{_LENGTH}))"
    r"|(?P<bars>[ZX](?P<count>\d*))"
    rf"|(?P<spacer>y{_LENGTH})"
    r"|(?P<tie>\.?-)"
    r"|(?P<decoration>!(?P<word>[^!\s]*)!)"
    r"|(?P<symbol>[.~H-Wh-w])"
    r"|(?P<text>\"[^\"]*\")"
    r"|(?P<grace>\{/?(?P<quick>[^{}]*)\})"
    r"|(?P<plus>\+[^+\s]+\+)"
    r"|(?P<other>.)",
    re.DOTALL,
)
#: The kinds of tokens that mean nothing and are dropped.
_SPACE = frozenset({"blank", "spacer"})
#: A text in quotes that begins with one of these is a remark; any other is a chord symbol.
_REMARK_SIGNS = "^_<>@"
#: Names that `U:` may give instead of a decoration, so that a letter means nothing any more.
NO_DECORATION = frozenset({"nil", "none"})

#: Hints for signs that are unknown where they stand, by their first character.
_UNKNOWN_HINTS = {
    "[": 'End notes that are sung together with "]", as in "[CEG]2". Write the first ending as '
    '"|1" or "[1".',
    "{": 'End grace notes with "}", as in "{g}A".',
    "&": 'Delete it, and give the second line a voice of its own with "V:".',
    "\\": 'Delete it: "\\" stands only at the end of a line.',
    "$": "Delete it: the handbook decides itself where a new staff begins.",
}


@dataclass(frozen=True, slots=True)
class Token:
    """One sign of a line of music. Its `kind` is the name of the outermost group that matched it in
    the pattern `_TOKEN`; `token["length"]` is the text of the inner group with this name; empty if
    it matched nothing. `decoration` is the name of the decoration that the token stands for, empty
    if it is none."""

    kind: str
    place: Place
    found: re.Match[str]
    decoration: str = ""

    def __getitem__(self, group: str) -> str:
        return self.found[group] or ""

    @property
    def text(self) -> str:
        return self.found[0]

    def inside(self, group: str) -> Place:
        """The place of the text that matched a group."""
        column = self.place.column + self.found.start(group) - self.found.start()
        return self.place.at(self.place.line, column)


def read_tokens(
    text: str, place: Place, symbols: Mapping[str, str], problems: list[Problem]
) -> Iterator[Token]:
    """Cut a line that begins at `place` into tokens. Spaces are dropped. `symbols` has the
    decorations that single letters stand for; it is looked up again for each token, because a field
    `U:` within the line may change it. What cannot be read is reported in `problems`."""
    text = text.rstrip()
    # a backslash continues the line on the next one, which here every line does anyway
    text = text.removesuffix("\\")
    unread = ""  # signs in a row that could not be read; they are reported together
    for found in _TOKEN.finditer(text):
        kind = found.lastgroup or "other"  # the outer group, which closes last
        at = place.at(place.line, place.column + found.start())
        if kind == "other" or (kind == "symbol" and found[0] not in symbols):
            if not unread:
                start = at
            unread += found[0]
            continue
        if unread:
            problems.append(_unknown(unread, start))
            unread = ""
        if kind in ("text", "plus"):
            problems.append(_unsupported(kind, found[0], at))
        elif kind not in _SPACE:
            decoration = symbols[found[0]] if kind == "symbol" else found["word"] or ""
            if decoration not in NO_DECORATION:
                yield Token(kind, at, found, decoration)
    if unread:
        problems.append(_unknown(unread, start))


def _unsupported(kind: str, text: str, place: Place) -> Problem:
    """The problem of a sign that is in the standard but is not supported by the handbook."""
    if kind == "plus":
        what = "is a decoration as an older version of ABC writes it."
        hint = 'Write it between exclamation marks, as in "!fermata!".'
    elif text[1:2] and text[1:2] in _REMARK_SIGNS:  # the first character after the quote
        what = "is a remark beside the notes; the handbook does not support that."
        hint = "Delete it, and write in the text of the exercise what singers should know."
    else:
        what = "is a chord symbol; the handbook does not support that."
        hint = "Delete it, and say in the text of the exercise who plays which chords."
    return Problem(place, "notation-token", f"{shown(text.strip(chr(34)))} {what}", hint)


def _unknown(text: str, place: Place) -> Problem:
    """The problem of signs in a row that cannot be read."""
    hint = _UNKNOWN_HINTS.get(text[0])
    if hint is None and text[0].isdigit():
        hint = 'Write a length directly after its note, as in "C2", "z4" or "G/2".'
    if hint is None and text[0] in "^_=":
        hint = (
            'Write an accidental directly before its note, as in "^F", "_B" or "=c". The handbook '
            "has no quarter tones."
        )
    return Problem(
        place,
        "notation-token",
        f"{shown(text)} is neither a note nor a sign that the handbook knows.",
        hint
        or 'Write notes as the letters A to G and a to g, a rest as "z", the end of a bar as "|", '
        'and words on a line of their own that begins with "w:".',
    )
