"""Every address in a Markdown text: of links, images, definitions below the text, and <...>."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote

from chorus_handbook.entries.fences import GONE
from chorus_handbook.entries.live import BEFORE

_ESCAPED = re.compile(r"\\[\[\]()!\\]")
_BRACKET = re.compile(r"[\[\]]|\n[ \t]*(?=\n)")
_BARE = re.compile(r"<([A-Za-z][A-Za-z0-9+.&;#%-]*:[^<>\s]*)>")
_NAMED = re.compile(r"\s?\[([^\[\]]{1,300})\]")
_BRACKETED = re.compile(r"""\s*<[^<>\n]*>\s*(?:"[^"]*"|'[^']*')?\s*""")
#: `[name]: address`, with what may stand before it in lists and quotes.
_DEFINITION = re.compile(
    BEFORE + r"\[([^\[\]]{1,300})\]:[ \t]*(?:\n[ \t>]*)?<?(\S+)"
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
        found_above = not image and _BARE.match(live, end + 2)
        if text.startswith("(", end + 1) and not found_above:
            yield _in_line(live, text, end + 2, image)
        if image:  # a page that finds no address there looks for a definition by name
            pictured.update(_labels(text, start, end))
    for found in _DEFINITION.finditer(live):
        if not found[1].startswith("^"):
            yield Target(found.start(2), found[2].rstrip(">"), _name(found[1]) in pictured)


def bracketed(live: str) -> set[int]:
    """Where links have an address between < and >: `[text](<file with blanks.md> "title")`."""
    return {
        target.offset + len(target.address) - len(target.address.lstrip())
        for target in targets(live)
        if _BRACKETED.fullmatch(target.address)
        and live.startswith(")", target.offset + len(target.address))
    }


def _brackets(text: str) -> Iterator[tuple[int, int]]:
    """Every pair of square brackets within a paragraph, and every closing one that is left over."""
    still_open: list[int] = []
    image: int | None = None  # the last that opens an image
    for found in _BRACKET.finditer(text):
        if found[0] == "[":
            still_open.append(found.start())
            image = found.start() if text.startswith("!", found.start() - 1) else image
        elif found[0] == "]":
            if still_open:
                yield still_open.pop(), found.start()
            else:  # one of those before it may have been part of an address
                yield found.start() if image is None else image, found.start()
        else:
            still_open.clear()
            image = None


def _in_line(live: str, text: str, start: int, image: bool) -> Target:
    """What stands in the parentheses that open before `start`."""
    end = start
    depth = 1
    for end in range(start, min(len(text), start + _LONGEST)):
        depth += {"(": 1, ")": -1}.get(text[end], 0)
        if depth == 0 or text.startswith("\n\n", end):
            break
    return Target(start, live[start:end], image)


def _labels(text: str, start: int, end: int) -> Iterator[str]:
    """The names by which an image may refer to an address elsewhere."""
    yield _name(text[start + 1 : end])
    named = _NAMED.match(text, end + 1)
    if named:
        yield _name(named[1])


def _name(label: str) -> str:
    return " ".join(unquote(label).lower().split())
