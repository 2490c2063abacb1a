"""Texts that a new file begins with, and that nobody has replaced yet."""

from __future__ import annotations

from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.problems import Place, Problem


def check_placeholders(text: str, path: str, kind: Kind[Fields]) -> list[Problem]:
    """One problem for the whole text of a file, at the first that is left."""
    left = [
        (number, line.index(placeholder) + 1, placeholder)
        for number, line in enumerate(text.split("\n"), 1)
        for placeholder in kind.placeholders
        if placeholder in line
    ]
    if not left:
        return []
    line, column, first = min(left)
    more = len(left) - 1
    others = f", and {more} other{'s' if more > 1 else ''} like it" if more else ""
    numbers = ", ".join(str(number) for number in dict.fromkeys(number for number, *_ in left))
    return [
        Problem(
            Place(path, line, column),
            "placeholder",
            f"{first} is what a new {kind.name} begins with{others}.",
            "Write your own text in its place, or delete the line"
            + (f". They stand in lines {numbers}." if more else "."),
        )
    ]
