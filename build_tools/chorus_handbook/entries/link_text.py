"""Every address in a Markdown text: of links, images, definitions below the text, and <...>."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote

from chorus_handbook.entries.fences import GONE

_ESCAPED = re.compile(r"\\[\[\]()!\\]")
_BRACKET = re.compile(r"[\[\]]|\n[ \t]*(?=\n)")
_BARE = re.compile(r"<([A-Za-z][A-Za-z0-9+.&;#%-]*:[^<>\s]*)>")
#: `[name]: address`, with what may stand before it in lists and quotes.
_DEFINITION = re.compile(
    r"^[ \t>*+\-\d.]{0,80}\[([^\[\]]{1,300})\]:[ \t]*(?:\n[ \t]*)?<?(\S+)"
    r"(?:[ \t]*(?:\n[ \t]*)?(?:\"[^\n]*\"|'[^\n]*'|\([^\n]*\)))?[ \t]*$",
    re.MULTILINE,
)
#: No address is longer; what follows the first bracket is looked at no further.
_LONGEST = 500


@dataclass(frozen=True, slots=True)
class Target:
    """An address as written, from the offset on; `image`: a page loads it by itself."""

    offset: int
    address: str
    image: bool

    @property
    def plain(self) -> str:
        """The address alone, without a title behind it."""
        text = self.address.strip()
        if text.startswith("<"):
            return text[1:].partition(">")[0]
        return text.split()[0] if text else ""


def targets(live: str) -> Iterator[Target]:
    """Every address in a text that holds nothing but what is live."""
    for found in _BARE.finditer(live):
        yield Target(found.start(1), found[1], False)
    if "]" not in live:
        return
    text = _ESCAPED.sub(GONE * 2, live)
    pictured: set[str] = set()
    for start, end in _brackets(text):
        image = start > 0 and text[start - 1] == "!"
        if text.startswith("(", end + 1):
            yield _in_line(live, text, end + 2, image)
        elif image:
            pictured.add(_label(text, start, end))
    for found in _DEFINITION.finditer(live):
        if not found[1].startswith("^"):
            yield Target(found.start(2), found[2].rstrip(">"), _name(found[1]) in pictured)


def _brackets(text: str) -> Iterator[tuple[int, int]]:
    """Every pair of square brackets within a paragraph."""
    still_open: list[int] = []
    for found in _BRACKET.finditer(text):
        if found[0] == "[":
            still_open.append(found.start())
        elif found[0] == "]":
            if still_open:
                yield still_open.pop(), found.start()
        else:
            still_open.clear()


def _in_line(live: str, text: str, start: int, image: bool) -> Target:
    """What stands in the parentheses that open before `start`."""
    end = start
    depth = 1
    for end in range(start, min(len(text), start + _LONGEST)):
        depth += {"(": 1, ")": -1}.get(text[end], 0)
        if depth == 0 or text.startswith("\n\n", end):
            break
    return Target(start, live[start:end], image)


def _label(text: str, start: int, end: int) -> str:
    """The name by which an image without an address of its own refers to one."""
    named = re.compile(r"\s?\[([^\[\]]{1,300})\]").match(text, end + 1)
    return _name(named[1] if named else text[start + 1 : end])


def _name(label: str) -> str:
    return " ".join(unquote(label).lower().split())
