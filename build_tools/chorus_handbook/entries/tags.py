"""Tags of HTML in a Markdown text: a few that only shape words may stand, no others."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from chorus_handbook.entries.attributes import Fault, bad_attribute, does_harm
from chorus_handbook.source import clip

#: Tags within a line that do nothing but shape words.
ALLOWED = frozenset("abbr b br cite del em i ins kbd mark q s small strong sub sup u wbr".split())
#: Tags that do harm even where the closing sign is missing.
_HARMFUL = frozenset(
    "applet audio base body button canvas details dialog div embed form frame frameset head html "
    "iframe image img input isindex link marquee math meta noscript object param picture portal "
    "script select source style svg table template textarea title track video xml xmp".split()
)
_TAG = re.compile(r"<(/?)([A-Za-z][A-Za-z0-9:._-]*)([^<>]*)(>?)")
_DECLARATION = re.compile(r"<[!?][^>\n]{0,60}")
_ATTRIBUTE = re.compile(r"""([^\s"'<>/=]+)(?:\s*=\s*("[^"]*"|'[^']*'|[^\s"'=<>`]+))?""")
_WELL_FORMED = re.compile(
    r"""(?:\s+[\w:.-]+(?:\s*=\s*(?:"[^"`\0]*"|'[^'`\0]*'|[^\s"'=<>`\0]+))?)*\s*/?"""
)
#: Addresses between < and >; `link_text` finds those that begin with a scheme.
_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*://[^<>\s]*>|[\w.+-]+@[\w-]+(?:\.[\w-]+)+>")
_PROGRAM = re.compile(r"(?:javascript|vbscript|data):[^<>\s]*>", re.IGNORECASE)
#: A value that may hold the sign at which the tag seems to end.
_VALUE = re.compile(r"""=\s*["']|=\S+\Z""")
_BETWEEN_PARAGRAPHS = re.compile(r"\n[ \t]*\n")
#: The sign that seems to close the tag may be a quote's, at the start of a line.
_AT_LINE_START = re.compile(r"\n[ \t]*\Z")
_ONE_LINE = "Write the whole tag on one line."
_WRITE_IT = "To show the sign < itself, write &lt;."


def check_tags(live: str, addresses: Collection[int] = ()) -> Iterator[Fault]:
    """Offset, message and hint of every tag that cannot stand, and of what it carries. At the
    offsets in `addresses` stand addresses of links, which may be written as <...>."""
    for found in _DECLARATION.finditer(live):
        if found[0].startswith("<!--"):
            yield (
                found.start(),
                "The comment that begins here is never closed.",
                "Write --> after it.",
            )
        else:
            shown = clip(found[0])
            yield found.start(), f'"{shown}" is an instruction to a browser, not text.', _WRITE_IT
    for found in _TAG.finditer(live):
        if found.start() not in addresses:
            yield from _check_tag(found, live)


def _check_tag(found: re.Match[str], live: str) -> Iterator[Fault]:
    slash, name, rest, close = found[1], found[2].lower(), found[3], found[4]
    if _ADDRESS.match(live, found.start() + 1) or _PROGRAM.match(live, found.start() + 1):
        return
    code = "`" in rest  # what a page takes for code there may hide the end of the tag
    if not close and not code and name not in _HARMFUL:
        if _VALUE.search(rest) or _ADDRESS.match(live, found.end() + 1):
            yield found.start(), f'"<{slash}{clip(name)}" could be taken for a tag.', _WRITE_IT
        return
    if name not in ALLOWED:
        yield (
            found.start(),
            f"The HTML tag <{slash}{clip(name)}> is not allowed in a handbook.",
            f"Delete it: Markdown can say most things without tags. {_WRITE_IT}",
        )
    elif not code and _BETWEEN_PARAGRAPHS.search(rest):
        return  # "1<b" is no tag
    elif _AT_LINE_START.search(rest):
        yield (
            found.start(),
            f"The tag <{slash}{name}> does not end on the line where it begins.",
            _ONE_LINE,
        )
        return
    elif not _WELL_FORMED.fullmatch(rest):
        yield found.start(), f"The tag <{slash}{name}> is not written correctly.", _WRITE_IT
        return
    for attribute in _ATTRIBUTE.finditer(rest):
        said = bad_attribute(attribute[1], attribute[2] or "")
        # A tag that goes anyway takes its attributes along; only what does harm is worth a word.
        if said and (name in ALLOWED or does_harm(attribute[1], attribute[2] or "")):
            yield found.start(3) + attribute.start(), *said
