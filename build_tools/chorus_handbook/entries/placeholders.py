"""Reports placeholder texts in [brackets] that the author of a new file has not replaced yet."""

from __future__ import annotations

from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.problems import Place, Problem


def check_placeholders(text: str, path: str, kind: Kind[Fields]) -> list[Problem]:
    """Report the placeholders of this kind that are left in the text of a file. It is one problem
    at the first of them, which lists the lines of all; an empty list if there are none."""
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
            f'"{first}" is an example text that you have not replaced yet{others}.',
            "Write your own text in its place, or delete the line."
            + (f" The example texts are in lines {numbers}." if more else ""),
        )
    ]
