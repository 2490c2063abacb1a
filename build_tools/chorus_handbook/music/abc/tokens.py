"""One line of ABC music cut into tokens (section 4). What they come to is decided elsewhere."""

from __future__ import annotations

import re
from dataclasses import dataclass

from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

_LENGTH = r"\d*(?:/\d+|/*)"
_TOKEN = re.compile(
    r"(?P<blank>[\s`]+)"
    r"|(?P<inline>\[(?P<letter>[A-Za-z]):(?P<inside>[^\[\]]*)\])"
    r"|(?P<bar>\.?\[?(?P<signs>[|:]+)\]?(?P<ending>\d[\d,.-]*)?)"
    r"|(?P<volta>\[(?P<numbers>\d[\d,.-]*))"
    rf"|(?P<chord>\[[^\[\]|]*\]{_LENGTH})"
    r"|(?P<tuplet>\((?P<p>\d)(?::(?P<q>\d*))?(?::(?P<r>\d*))?)"
    r"|(?P<slur>\.?\(|\))"
    r"|(?P<broken>>+|<+)"
    rf"|(?P<note>(?P<accidental>\^\^?|__?|=)?(?P<step>[A-Ga-g])(?P<octave>[',]*)(?P<length>{_LENGTH}))"
    rf"|(?P<rest>[zx](?P<silence>{_LENGTH}))"
    r"|(?P<bars>[ZX](?P<count>\d*))"
    rf"|(?P<spacer>y{_LENGTH})"
    r"|(?P<tie>\.?-)"
    r"|(?P<mark>!(?P<word>[^!\s]*)!)"
    r"|(?P<letter_mark>[.~HLMOPSTuv])"
    r"|(?P<text>\"[^\"]*\")"
    r"|(?P<grace>\{[^{}]*\})"
    r"|(?P<plus>\+[^+\s]+\+)"
    r"|(?P<other>.)",
    re.DOTALL,
)
_SLURS_AND_SPACE = frozenset({"blank", "slur", "spacer"})

_LEFT_OUT = {
    "chord": (
        "holds several notes at once, and one voice sings one note at a time",
        "Give each note to a voice of its own: V:soprano, V:alto ...",
    ),
    "grace": (
        "holds grace notes; ABC has them, the handbook cannot draw them yet",
        "Take them out, or write them as notes of their own with their length.",
    ),
    "text": (
        "is a chord symbol or a remark; ABC has both, the handbook leaves them out",
        "Take it out, and write in the text of the exercise what singers should know.",
    ),
    "plus": (
        "is a decoration in the manner of an older standard",
        "Write it between exclamation marks, as in !fermata!",
    ),
}
_UNKNOWN_HINTS = {
    "&": "Give the second line a voice of its own with V: instead.",
    "\\": "A \\ stands only at the end of a line.",
    "$": "Lines of music are broken by the handbook; take it out.",
}


@dataclass(frozen=True, slots=True)
class Token:
    """A token by its kind, which is the name of its group in the pattern."""

    kind: str
    place: Place
    found: re.Match[str]

    def __getitem__(self, group: str) -> str:
        return self.found[group] or ""

    @property
    def text(self) -> str:
        return self.found[0]


def read_tokens(text: str, place: Place) -> tuple[list[Token], list[Problem]]:
    """The tokens of a line whose first character stands at `place`; slurs and blanks are left
    out, as they change nothing that is sung."""
    tokens: list[Token] = []
    problems: list[Problem] = []
    text = text.rstrip()
    text = text.removesuffix("\\")  # goes on in the next line, as all lines do here
    unread = ""
    for found in _TOKEN.finditer(text):
        kind = found.lastgroup or "other"  # the outer group, which closes last
        at = place.at(place.line, place.column + found.start())
        if kind == "other":
            if not unread:
                start = at
            unread += found[0]
            continue
        if unread:
            problems.append(_unknown(unread, start))
            unread = ""
        if kind in _LEFT_OUT:
            what, hint = _LEFT_OUT[kind]
            sign = shown(found[0].strip('"'))
            problems.append(Problem(at, "notation-token", f"{sign} {what}.", hint))
        elif kind not in _SLURS_AND_SPACE:
            tokens.append(Token(kind, at, found))
    if unread:
        problems.append(_unknown(unread, start))
    return tokens, problems


def _unknown(text: str, place: Place) -> Problem:
    hint = _UNKNOWN_HINTS.get(text[0])
    if hint is None and text[0].isdigit():
        hint = "A length stands straight behind its note: C2, z4, G/2"
    if hint is None and text[0] in "^_=":
        hint = (
            "An accidental stands straight before a note: ^F, _B, =c; there are no quarter tones."
        )
    return Problem(
        place,
        "notation-token",
        f"{shown(text)} is no note and no sign that could be read.",
        hint
        or "Notes are the letters A to G and a to g, z is a rest, | ends a bar; words stand on a "
        "line of their own: w:",
    )
