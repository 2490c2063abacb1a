"""Rewrites the links in the text of an exercise that is copied to another handbook.

A link to a page that the new handbook does not have is replaced by its text.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable
from urllib.parse import quote

from chorus_handbook.entries.addresses import internal
from chorus_handbook.entries.fences import GONE, mark

#: A link or an image as Markdown writes it on one line: "!" for an image, the text, the address,
#: and the rest, such as a title.
_LINK = re.compile(r"(!?)\[([^\[\]\n]*)\]\(([^()\s]+)([^()\n]*)\)")


def relink(
    body: str, page: str, new_page: str, target_of: Callable[[str], str | None]
) -> tuple[str, list[str]]:
    """The text of an exercise with its links changed for the new handbook.

    `page` is the path of the exercise's page in the old handbook, `new_page` the path in the new
    one. `target_of` returns, for a path in the old handbook, the path in the new one, or None if
    the new one has nothing to link to; then the link is replaced by its text, and an image by its
    alternative text. Returns the new text and the texts of the links that were replaced. Fences,
    such as those with music, are not changed.
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
        if _LINK.search(line) and GONE not in line:  # lines with a comment stay as they are
            lines[number] = _LINK.sub(rewritten, lines[number])
    return "\n".join(lines), lost
