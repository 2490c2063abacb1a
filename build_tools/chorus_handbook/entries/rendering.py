"""Turns an author's Markdown into safe HTML, and reports links and tags that are not allowed.

`conversion` finds what is not allowed, but Python-Markdown does not say where in the source it was.
When there is something to report, the text is therefore converted a second time, with a made-up
word such as `zq0x`, `zq1x` and so on inserted wherever an address or a tag may begin. The word
inside a reported address then tells its offset in the source. The published HTML is that of the
first conversion.

This module is imported only when a file has changed, because Python-Markdown is slow to import.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate

from chorus_handbook.entries.addresses import SCHEMES, check_address
from chorus_handbook.entries.conversion import Conversion, Found
from chorus_handbook.entries.fences import Marked, mark, readable
from chorus_handbook.entries.limits import TooComplexError, check_size, too_complex
from chorus_handbook.entries.rendered import Link, Rendered
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import clip

#: At most this many problems of one text are reported. When there are more, they usually have the
#: same cause.
_MOST_PROBLEMS = 40
#: Where an address or a tag may begin: after `](` of a link, after `]:` of a definition, after `<`
#: that is not escaped, and after `{:`, `{#` or `{.` of attributes.
_BEGINNING = re.compile(
    r"(?:\]\(\s*<?|\]:[ \t]*(?:\n[ \t>]*)?<?|(?<!\\)<(?=/?[A-Za-z])|\{(?::[ \t]*|[#.]))"
    r"(?=[\w./#?&%\\-])"
)
#: The character with which something of this kind begins.
_OPENED = {"html": "<", "braces": "{"}
#: An address in angle brackets, such as `<javascript:alert(1)>`: a scheme of at least two
#: characters, a colon and no space up to the bracket (CommonMark, "Autolinks"). A tag that a word
#: processor leaves, such as `<o:p>`, has a shorter name before the colon.
_ADDRESS_IN_ANGLES = re.compile(r"<([A-Za-z][A-Za-z0-9+.-]{1,31}):[^\s<>]*>")
_WRITE_LESS_THAN = 'To show the sign "<" itself, write "&lt;".'


class _PlaceWords:
    """Made-up words that mark places. `text` is the source with a different word inserted wherever
    an address or a tag may begin."""

    def __init__(self, source: str) -> None:
        self._offsets: list[int] = []
        self._name = "zq"
        while self._name in source.lower():
            self._name += "q"
        self._pattern = re.compile(rf"{self._name}(\d+)x", re.IGNORECASE)
        self.text = _BEGINNING.sub(self._add, source)

    def _add(self, beginning: re.Match[str]) -> str:
        self._offsets.append(beginning.end())
        return f"{beginning[0]}{self._name}{len(self._offsets) - 1}x"

    def take_out(self, text: str) -> tuple[str, int | None]:
        """The text without the inserted words, and the offset in the source of the first one
        (None when there was none)."""
        first = self._pattern.search(text)
        if first is None:
            return text, None
        return self._pattern.sub("", text), self._offsets[int(first[1])]


def render(body: str, place: Place) -> tuple[Rendered | None, list[Problem]]:
    """Render the text of a file, which begins at `place`. Returns the HTML (None when the text is
    too complex to be rendered) and the problems."""
    page = place.path.partition("/")[2]
    marked = mark(body)
    size = check_size(marked.outside, place)
    if size:
        return None, [size]
    try:
        conversion = Conversion(readable(marked.text), page)
    except TooComplexError as error:
        return None, [_located(marked.text, place, error)]
    source = _Source(marked, place)
    links: list[Link] = []
    problems: list[Problem] = []
    if marked.unclosed is not None:
        message = 'The comment that begins here with "<!--" is never closed.'
        hint = 'Write "-->" at the end of the comment.'
        problems.append(Problem(source.place_of(marked.unclosed), "html-unsafe", message, hint))
    for found in _with_offsets(conversion.found, marked.text, page):
        at = source.place_of(found.offset or 0)
        refused = _refused(found, page)
        if refused:
            problems.append(Problem(at, *refused))
        elif found.kind in ("link", "image"):
            links.append(Link(found.text, at))
    rendered = Rendered(
        conversion.sections(source.below_heading), conversion.footnotes(), tuple(links)
    )
    return rendered, sorted({*problems})[:_MOST_PROBLEMS]


def _refused(found: Found, page: str) -> tuple[str, str, str] | None:
    """The code, message and hint of the problem when something that was found is not allowed; None
    if it is allowed. `page` is the path of the page it is on."""
    if found.kind in ("link", "image"):
        refusal = check_address(found.text, page, found.kind == "image")
        return ("link-unsafe", *refusal) if refusal else None
    shown = clip(found.text)
    if found.kind == "braces":
        return (
            "html-unsafe",
            f'Attributes in braces are not supported, so "{shown}" would be printed on the page.',
            "Delete it. Headings can be linked to without it.",
        )
    if found.kind == "footnote":
        return (
            "markdown-depth",
            "This footnote is indented, so it would count as a part of the footnote above and "
            "would be lost.",
            'Begin the line at the left edge, as in "[^1]: text".',
        )
    if address := _ADDRESS_IN_ANGLES.match(found.text):
        return ("html-unsafe", *_address_in_angles(address[1]))
    tag = re.match(r"</?[A-Za-z][\w:.-]*", found.text)
    name = f'The HTML tag "{clip(tag[0].lower())}>"' if tag else f'The HTML "{shown}"'
    return (
        "html-unsafe",
        f"{name} is not allowed in a handbook.",
        'Delete it, or write Markdown instead, such as "*italic*" or "**bold**". '
        f"{_WRITE_LESS_THAN}",
    )


def _address_in_angles(scheme: str) -> tuple[str, str]:
    """The message and the hint for an address in angle brackets of this scheme, such as
    `<tel:...>`, of which Markdown does not make a link."""
    if scheme.lower() in SCHEMES:
        return (
            f'An address that begins with "{scheme}:" cannot be written in angle brackets.',
            "Write the words of the link in square brackets, and the address in round brackets "
            f'after them, as in "[call us]({scheme}:...)".',
        )
    return (
        f'A link cannot begin with "{clip(scheme)}:".',
        'Link to a page of the handbook, or to an address that begins with "https://". '
        f"{_WRITE_LESS_THAN}",
    )


def _with_offsets(found: Sequence[Found], marked: str, page: str) -> Iterator[Found]:
    """The same as `found`, each with its offset in the source, which a second conversion with
    inserted words finds. `marked` is the source with its comments replaced."""
    if not found:
        return
    words = _PlaceWords(marked)
    try:
        placed: Sequence[Found] = Conversion(readable(words.text), page, words.take_out).found
    except TooComplexError:  # the inserted words have made the text just too long
        placed = ()
    if [(item.kind, item.text) for item in placed] != [(item.kind, item.text) for item in found]:
        placed = found  # the inserted words have changed the meaning of something
    for item in placed:
        offset = item.offset
        if offset is None or item.kind == "footnote":
            first_line, *_ = item.text.split("\n")
            offset = max(marked.find(first_line), 0)
        elif item.kind in _OPENED:  # the word was inserted after the opening character
            offset = marked.rfind(_OPENED[item.kind], 0, offset)
        yield Found(item.kind, item.text, offset)


def _located(marked: str, place: Place, error: TooComplexError) -> Problem:
    """The problem of a text that is too complex, at the first line up to which it is too complex.
    `marked` is the source with its comments replaced, and begins at `place`."""
    lines = marked.split("\n")

    def is_too_complex(count: int) -> bool:
        """Whether the first `count` lines by themselves are too complex."""
        try:
            Conversion(readable("\n".join(lines[:count])), "", only_blocks=True)
        except TooComplexError:
            return True
        return False

    first = bisect_left(range(1, len(lines)), True, key=is_too_complex)
    return too_complex(place.at(place.line + first), error.message, error.hint)


class _Source:
    """Finds places in the body as the author wrote it."""

    def __init__(self, marked: Marked, place: Place) -> None:
        self._place = place
        self._lines = marked.text.split("\n")
        self._starts = [0, *accumulate(len(line) + 1 for line in self._lines)]
        self._fenced = {
            number
            for fence in marked.fences
            if fence.last is not None
            for number in range(fence.first, fence.last + 1)
        }

    def place_of(self, offset: int) -> Place:
        """The place of the character with this offset in the body."""
        line = bisect_right(self._starts, offset) - 1
        return self._place.at(self._place.line + line, offset - self._starts[line] + 1)

    def below_heading(self, text: str, after: Place | None) -> Place:
        """The line below the next heading with this text, searched from `after` on (the line below
        the heading before it). If there is none, `after`, or the start of the body."""
        if not text:
            return after or self._place
        first = after.line - self._place.line if after else 0
        word = text.split(maxsplit=1)[0] if text.split() else ""
        for number in range(first, len(self._lines)):
            line = readable(self._lines[number])
            below = self._lines[number + 1] if number + 1 < len(self._lines) else ""
            underlined = bool(below) and not below.strip("=- ")
            if word in line and (line[:1] == "#" or underlined) and number not in self._fenced:
                return self._place.at(self._place.line + number + 1 + underlined)
        return after or self._place
