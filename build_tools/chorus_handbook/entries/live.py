"""The text of a body without what is shown as it stands: fences, code in a line, comments.

Everything else can become something on the page, a tag or a link, and is looked at by `safety`.
Where it is not certain that the page takes something for code, it counts as live.
"""

from __future__ import annotations

import re

from chorus_handbook.entries.fences import GONE, mark

#: A pattern for what may stand on a line before something that begins a line: the signs of lists,
#: quotes and definitions, and the name of a note.
BEFORE = r"^[ \t>*+\-\d.:]{0,80}(?:\[\^[^\]\n]{0,80}\]:)?[ \t>*+\-\d.:]{0,80}"

_SPAN = re.compile(r"(?<!`)(`+)(?!`)(.+?)(?<!`)\1(?!`)")


def live_text(text: str) -> str:
    """The text with the same lines and columns, and nothing in it but what is live."""
    marked = mark(text)
    lines = marked.text.split("\n")
    for fence in marked.fences:
        if fence.plain and fence.last is not None:
            # What stands in braces behind the marks becomes attributes.
            first = fence.first if not fence.info.startswith("{") else fence.first + 1
            lines[first : fence.last + 1] = [""] * (fence.last + 1 - first)
    return "\n".join(_without_code(lines))


def _blanked(span: re.Match[str]) -> str:
    """Code without its signs. Its letters stay: they are words of a heading all the same."""
    return re.sub(r"\W", GONE, span[0])


def _without_code(lines: list[str]) -> list[str]:
    """Blank out code within a line.

    A page reads a whole paragraph at once, so a backtick left over on one line can turn code on
    the next into text. Only a paragraph in which every line is even by itself is certain.
    """
    result: list[str] = []
    paragraph: list[str] = []
    for line in [*lines, ""]:
        if line.strip():
            paragraph.append(line)
            continue
        if any("`" in part for part in paragraph):
            blanked = [_SPAN.sub(_blanked, part) for part in paragraph]
            even = not any("`" in part for part in blanked) and "\\`" not in "".join(paragraph)
            paragraph = blanked if even else paragraph
        result += [*paragraph, line]
        paragraph = []
    return result[:-1]
