"""Links in the text of an exercise that moves to another handbook: some lead to what moves along or
is there already, others lose what they led to.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable
from urllib.parse import quote

from chorus_handbook.entries.addresses import internal
from chorus_handbook.entries.fences import mark

#: A link or an image as Markdown writes it on one line.
_LINK = re.compile(r"(!?)\[([^\[\]\n]*)\]\(([^()\s]+)([^()\n]*)\)")


def relink(
    body: str, page: str, new_page: str, target_of: Callable[[str], str | None]
) -> tuple[str, list[str]]:
    """The text of an exercise with its links brought to the new handbook.

    `page` is the path of its page in the old one, `new_page` that in the new one. `target_of` gives
    for the path of a page or file in the old handbook that in the new one, or None where there is
    nothing to link to. Returns the text and what links lost: a link becomes its words, and an image
    what is said in its place. Music is left alone.
    """
    lost: list[str] = []

    def rewritten(found: re.Match[str]) -> str:
        image, words, address, rest = found.groups()
        target = internal(address, page)
        if target is None:
            return found[0]
        new = target_of(target.path)
        if new is None:
            lost.append(words or address)
            return words
        folder = posixpath.dirname(new_page) or "."
        path = quote(posixpath.relpath(new, folder))
        return f"{image}[{words}]({path}{target.rest}{rest})"

    lines = body.split("\n")
    for number, line in enumerate(mark(body).outside.split("\n")):
        if _LINK.search(line) and "\x00" not in line:
            lines[number] = _LINK.sub(rewritten, lines[number])
    return "\n".join(lines), lost
