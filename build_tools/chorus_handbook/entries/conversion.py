"""Converts Markdown to HTML with Python-Markdown, whose only importer this is.

The set of extensions is fixed. Raw HTML is not supported: a tag is shown as text, and noted so that
`rendering` can report it. Python-Markdown itself decides what is a tag, a link or a heading (we
register our own handlers with it), so that reports and pages always agree.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import unescape
from typing import Any, Literal
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.extensions.admonition import AdmonitionExtension
from markdown.extensions.def_list import DefListExtension
from markdown.extensions.fenced_code import FencedCodeExtension
from markdown.extensions.footnotes import FootnoteBlockProcessor, FootnoteExtension
from markdown.extensions.sane_lists import SaneListExtension
from markdown.extensions.tables import TableExtension
from markdown.extensions.toc import TocExtension, slugify
from markdown.inlinepatterns import HTML_RE, InlineProcessor
from markdown.preprocessors import Preprocessor
from markdown.treeprocessors import Treeprocessor, UnescapeTreeprocessor
from markdown.util import AMP_SUBSTITUTE, ETX, STX
from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.entries.addresses import check_address, internal
from chorus_handbook.entries.limits import DEEPEST, TooDeepError, check_blocks
from chorus_handbook.entries.rendered import Heading, Section
from chorus_handbook.entries.sanitise import clean
from chorus_handbook.problems import Place

#: Headings that begin a `Section` when they are not inside a list, quote or box.
_SECTION_HEADINGS = ("h1", "h2")
#: Attributes in braces, such as {#name}: an extension of Markdown that is not used here.
_BRACES = r"\{(?::|[#.][\w-])[^\n}]{0,200}\}"
#: The beginning of a definition in a list of definitions.
_DEFINED = re.compile(r" {0,3}: ")
#: A heading in HTML, with what is inside it.
_INNER = re.compile(r"<h\d[^>]*>(.*)</h\d>\s*", re.DOTALL)

#: How deep Python-Markdown may call itself; a list within a list takes up to three calls.
_PARSED_DEEPEST = 4 * DEEPEST

Finding = Literal["link", "image", "html", "braces", "footnote"]


@dataclass(frozen=True, slots=True)
class Found:
    """A link, image, tag or the like that was found in a text.

    kind: what it is.
    text: what the author wrote: the address of a link or an image, otherwise the text itself.
    offset: where it begins in the source; None when that is not known.
    """

    kind: Finding
    text: str
    offset: int | None = None


def _not_marked(text: str) -> tuple[str, None]:
    """The `take_out` of a conversion in whose text no places were marked."""
    return text, None


class Conversion:
    """The conversion of one text. `found` lists the links, images, tags and the like in it. Raises
    TooComplexError.

    page: the path of the page that the text is on.
    take_out: removes from a piece of text the words that `rendering` inserted to mark places, and
        returns the rest and the offset in the source of the first place (None if the piece has no
        such word).
    only_blocks: whether to parse only the structure, which is enough to see whether the text is too
        complex.
    """

    def __init__(
        self,
        text: str,
        page: str,
        take_out: Callable[[str], tuple[str, int | None]] = _not_marked,
        *,
        only_blocks: bool = False,
    ) -> None:
        self.found: list[Found] = []
        self._page, self._take_out = page, take_out
        footnotes = _Footnotes(self)
        self._md = Markdown(
            extensions=[
                AdmonitionExtension(),
                DefListExtension(),
                FencedCodeExtension(),
                SaneListExtension(),
                TableExtension(),
                TocExtension(marker="", slugify=anchor_of),
                footnotes,
            ]
        )
        self._md.preprocessors.deregister("html_block")
        self._md.preprocessors.register(_Terms(self._md), "terms", 20)  # after fences
        self._md.inlinePatterns.register(_Tags(HTML_RE, self._md, self, "html"), "html", 90)
        self._md.inlinePatterns.register(_Tags(_BRACES, self._md, self, "braces"), "braces", 89)
        self._md.treeprocessors.register(_Addresses(self), "addresses", -10)
        self._depth, self._parse_blocks = 0, self._md.parser.parseBlocks
        self._md.parser.parseBlocks = self._parse_no_deeper  # type: ignore[method-assign]
        lines = text.split("\n") if text.strip() else []
        for preprocessor in self._md.preprocessors:
            lines = preprocessor.run(lines)
        root = self._md.parser.parseDocument(lines).getroot()
        assert root is not None
        self._root = root
        check_blocks(self._root, len(footnotes.footnotes))
        if not only_blocks:
            for processor in self._md.treeprocessors:
                changed = processor.run(self._root)
                self._root = self._root if changed is None else changed

    def _parse_no_deeper(self, parent: Element, blocks: list[str]) -> None:
        """Parse blocks, but refuse nesting far below Python's recursion limit: each level parses
        its content once more, so deep nesting is slow long before that limit."""
        if self._depth > _PARSED_DEEPEST:
            raise TooDeepError
        self._depth += 1
        self._parse_blocks(parent, blocks)
        self._depth -= 1

    def note(self, kind: Finding, text: str) -> str:
        """Add a link, tag or the like to `found`. `text` may contain inserted words; the text
        without them, as the author wrote it, is returned."""
        written, offset = self._take_out(text)
        self.found.append(Found(kind, written, offset))
        return written

    def see_address(self, element: Element, attribute: str) -> None:
        """Note the address in an attribute of an element. An address that is not allowed is
        removed; an address within the handbook is replaced by its `Internal.url`, because it is not
        known yet on which page it will be shown."""
        written = (element.get(attribute) or "").replace(AMP_SUBSTITUTE, "&")
        image = element.tag == "img"
        address = self.note("image" if image else "link", unescape(written).strip())
        if check_address(address, self._page, image):
            del element.attrib[attribute]
        elif inside := internal(address, self._page):
            element.set(attribute, inside.url)

    def sections(self, below_heading: Callable[[str, Place | None], Place]) -> tuple[Section, ...]:
        """The sections of the text, in order.

        `below_heading` finds the line below a heading in the author's file. It gets the text of the
        heading (empty for the text before the first heading) and what it returned for the heading
        before (None for the first).
        """
        tokens: Any = getattr(self._md, "toc_tokens", [])
        names = {token["id"]: token for token in _flat(tokens)}
        groups: list[tuple[Element | None, list[Element]]] = [(None, [])]
        for element in self._root:
            if element.tag in _SECTION_HEADINGS:
                groups.append((element, []))
            elif not _are_footnotes(element):
                groups[-1][1].append(element)
        sections = []
        below: Place | None = None
        for head, content in groups:
            if head is None and not content:
                continue
            inner = [e for top in content for e in top.iter() if e.get("id") in names]
            headings = [_heading(e, names) for e in inner]
            own = _heading(head, names) if head is not None else None
            below = below_heading(own.text if own else "", below)
            sections.append(
                Section(
                    own,
                    self._title(head) if head is not None else Markup(),
                    self._html(content),
                    tuple(headings),
                    sum(len("".join(top.itertext()).split()) for top in content),
                    below,
                )
            )
        return tuple(sections)

    def footnotes(self) -> Markup:
        """The footnotes of the whole text as HTML."""
        return self._html([element for element in self._root if _are_footnotes(element)])

    def _title(self, head: Element) -> Markup:
        """What is inside a heading, as HTML."""
        inner = _INNER.fullmatch(self._serialized([head]))
        return clean(inner[1]) if inner else Markup()

    def _html(self, elements: Sequence[Element]) -> Markup:
        """These elements as safe HTML."""
        return clean(self._serialized(elements))

    def _serialized(self, elements: Sequence[Element]) -> str:
        """These elements as HTML, not cleaned yet."""
        html = "".join(self._md.serializer(element) for element in elements)
        for processor in self._md.postprocessors:
            html = processor.run(html)
        return html.strip()


def _flat(tokens: Sequence[Any]) -> Iterator[Any]:
    """The entries of Python-Markdown's nested table of contents, in order."""
    for token in tokens:
        yield token
        yield from _flat(token["children"])


def _heading(element: Element, names: Mapping[str, Any]) -> Heading:
    """The heading in an element. `names` has the entries of the table of contents by their ids."""
    anchor = element.get("id") or ""
    return Heading(names[anchor]["level"], anchor, unescape(names[anchor]["name"]))


def _are_footnotes(element: Element) -> bool:
    return element.tag == "div" and element.get("class") == "footnote"


def anchor_of(text: str, separator: str) -> str:
    """The id of a heading with this text. It never begins with two underscores, which the theme's
    scripts use, or with "hb-", which our own pages use."""
    slug = slugify(text, separator).strip("_")
    return f"x{slug}" if slug.startswith("hb-") else slug


class _Tags(InlineProcessor):
    """Finds raw HTML and attributes in braces, adds them to `Conversion.found`, and lets them be
    shown as text."""

    def __init__(self, pattern: str, md: Markdown, conversion: Conversion, kind: Finding) -> None:
        super().__init__(pattern, md)
        self._conversion, self._kind = conversion, kind
        self._unescape = UnescapeTreeprocessor()

    def handleMatch(  # type: ignore[override]  # noqa: N802  (Python-Markdown's name)
        self,
        m: re.Match[str],
        data: str,  # noqa: ARG002
    ) -> tuple[str, int, int]:
        text = self.unescape(m[0])
        self._conversion.note(self._kind, self._unescape.unescape(text))
        # The first character becomes text, as if there were a backslash before it.
        return f"{STX}{ord(m[0][0])}{ETX}", m.start(), m.start() + 1


class _Terms(Preprocessor):
    """Puts an empty line between a definition and the next term. Without one, Python-Markdown takes
    the term for a part of the definition and nests one list in the other."""

    def run(self, lines: list[str]) -> list[str]:
        result: list[str] = []
        for line, following in zip(lines, [*lines[1:], ""], strict=True):
            term = line.strip() and not line.startswith((" ", "\t")) and not _DEFINED.match(line)
            if result and term and _DEFINED.match(result[-1]) and _DEFINED.match(following):
                result.append("")
            result.append(line)
        return result


class _Addresses(Treeprocessor):
    """Passes every address to `Conversion.see_address`, after all other processing."""

    def __init__(self, conversion: Conversion) -> None:
        self._conversion = conversion

    def run(self, root: Element) -> None:
        for element in root.iter():
            if element.tag == "a" and not element.get("class", "").startswith("footnote-"):
                self._conversion.see_address(element, "href")
            elif element.tag == "img":
                self._conversion.see_address(element, "src")


class _Footnotes(FootnoteExtension):
    """Footnotes. A footnote that is defined inside another, on which Python-Markdown fails with an
    exception, is left out and added to `Conversion.found` instead."""

    def __init__(self, conversion: Conversion) -> None:
        # Python-Markdown fills in the number.
        super().__init__(BACKLINK_TITLE=_("Jump back to footnote {n} in the text", n="{}"))
        self._conversion = conversion
        self.making_list = False  # whether the texts of the footnotes are being parsed

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802  (Python-Markdown's name)
        super().extendMarkdown(md)
        md.parser.blockprocessors.register(_FootnoteBlocks(self), "footnote", 17)

    def makeFootnotesDiv(self, root: Element) -> Element | None:  # noqa: N802
        self.making_list = True
        return super().makeFootnotesDiv(root)

    def note(self, text: str) -> None:
        self._conversion.note("footnote", text)


class _FootnoteBlocks(FootnoteBlockProcessor):
    """Finds the definitions of footnotes. A definition inside the text of a footnote is only passed
    to `_Footnotes.note`."""

    footnotes: _Footnotes

    def run(self, parent: Element, blocks: list[str]) -> bool | None:
        if not self.footnotes.making_list:
            return super().run(parent, blocks)
        inner = self.RE.search(blocks[0])
        if inner:
            self.footnotes.note(inner[0].strip())
        return False
