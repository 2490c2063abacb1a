"""Says in plain words why a score file could not be read as XML.

The XML library describes errors in the terms of a parser, which mean nothing to most people who
export a score. Here the errors that score files really have are told apart: a file that was cut
off, one that is no score at all, and the usual kinds of damage.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from chorus_handbook.music.wording import shown

if TYPE_CHECKING:
    from lxml import etree

#: What may stand before the first "<" of an XML document: marks of its encoding, and blanks.
_BEFORE = b"\xef\xbb\xbf\xff\xfe\0 \t\r\n"
#: What may stand after its last ">".
_AFTER = b"\0 \t\r\n"
#: The library's words for an element that has no end. It names the innermost one.
_UNFINISHED = re.compile(r"in tag (\S+) line (\d+)")
#: The library's words for an element that has no end before the end of the element around it.
_MISMATCH = re.compile(r"mismatch: (\S+) line (\d+) and ([^\s,]+)")
#: The library's words for an entity, such as &alto;, that nothing defines.
_ENTITY = re.compile(r"Entity '([^']*)'")
#: The elements that a message names, and what people call them.
_KNOWN = {"part": "part", "measure": "bar", "note": "note"}
#: What is wrong, by the library's name of the error.
_PLAIN = {
    "ERR_UNSUPPORTED_ENCODING": (
        "The first line of this score file names a character encoding that is not known."
    ),
    "ERR_INVALID_ENCODING": (
        "This score file contains letters that are not in the character encoding that its first "
        "line names (UTF-8 if it names none)."
    ),
    "ERR_INVALID_CHAR": "This score file contains a character that is not allowed in MusicXML.",
}


def plain_error(error: etree.XMLSyntaxError | ValueError, data: bytes) -> str:
    """A sentence that says what is wrong with a score file. `data` is the content of the file, and
    `error` what the XML library raised when it read it."""
    text = data.lstrip(_BEFORE)
    if not text:
        return "This score file is empty."
    if not text.startswith(b"<"):
        return "This file is not a score: a score in MusicXML begins with the sign <."
    kind = _kind(error)
    # A file that ends after its first line or comment is called empty by the library.
    no_end = kind in ("ERR_TAG_NOT_FINISHED", "ERR_DOCUMENT_EMPTY")
    if no_end or not data.rstrip(_AFTER).endswith(b">"):
        return f"This score file is incomplete: it breaks off {_where(str(error))}."
    if found := _MISMATCH.search(str(error)):
        return (
            f"This score file is damaged: {shown(found[1])}, which begins in line {found[2]}, has "
            f"no end before {shown(found[3])} ends here."
        )
    if found := _ENTITY.search(str(error)):
        return (
            f"This score file contains {shown(f'&{found[1]};')}, which means nothing in MusicXML."
        )
    damaged = "This score file is damaged here, so nothing can be read from this place on."
    return _PLAIN.get(kind, damaged)


def _kind(error: etree.XMLSyntaxError | ValueError) -> str:
    """The library's name of an error, such as "ERR_TAG_NOT_FINISHED"; empty if it has none."""
    from lxml import etree  # late: only handbooks with score files need it

    code = getattr(error, "code", None)
    names = (name for name in dir(etree.ErrorTypes) if getattr(etree.ErrorTypes, name) == code)
    return next(names, "")


def _where(message: str) -> str:
    """Where a file breaks off, from the library's message."""
    found = _UNFINISHED.search(message)
    if found and found[1] in _KNOWN:
        return f"inside the {_KNOWN[found[1]]} that begins in line {found[2]}"
    return "before its end"
