"""The first wall against what must not stand in a body: found in the source, said with its place.

Text from contributors is untrusted: no tag that could run, load or cover anything, no attribute
that could, no link to a program, no picture from elsewhere, no id that the theme's own scripts
would trip over (`__config` switches them off), no way out of the handbook. The second wall, the
sanitiser of the finished HTML, knows no lines; here an author is told where to look.

What is shown as it stands (`live`) is left alone. Where a page might read something differently,
it counts as unsafe: writing it another way is always possible.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from itertools import accumulate

from chorus_handbook.entries.addresses import check_address
from chorus_handbook.entries.attributes import check_attributes
from chorus_handbook.entries.link_text import bracketed, targets
from chorus_handbook.entries.live import live_text
from chorus_handbook.entries.tags import check_tags
from chorus_handbook.problems import Place, Problem

#: A text with more unsafe spots than this has one fault, not many.
_MOST_PROBLEMS = 40


def check_safety(text: str, place: Place) -> list[Problem]:
    """What is unsafe in Markdown whose first line stands at `place`."""
    live = live_text(text)
    if not any(sign in live for sign in "<{]#_"):
        return []
    where = _Places(live, place)
    html = [*check_tags(live, bracketed(live)), *check_attributes(live)]
    problems = {
        *(Problem(where.of(at), "html-unsafe", *said) for at, *said in html),
        *(Problem(where.of(at), "link-unsafe", *said) for at, *said in _addresses(live, place)),
    }
    return sorted(problems)[:_MOST_PROBLEMS]


def links_in(text: str, place: Place) -> Iterator[tuple[str, Place]]:
    """The address of every safe link and image in Markdown that begins at `place`, and where the
    address stands."""
    live = live_text(text)
    where = _Places(live, place)
    for target in targets(live):
        if check_address(target.address, place.path, target.image) is None:
            yield target.plain, where.of(target.offset)


def _addresses(live: str, place: Place) -> Iterator[tuple[int, str, str]]:
    for target in targets(live):
        said = check_address(target.address, place.path, target.image)
        if said is not None:
            yield target.offset, *said


class _Places:
    """From an offset in a text to its line and column in the file."""

    def __init__(self, text: str, place: Place) -> None:
        self._place = place
        self._starts = [0, *accumulate(len(line) + 1 for line in text.split("\n"))]

    def of(self, offset: int) -> Place:
        line = bisect_right(self._starts, offset) - 1
        return self._place.at(self._place.line + line, offset - self._starts[line] + 1)
