"""Parses MusicXML from strangers strictly: without entities, without document types of its own,
without loading anything, and only what the schema allows.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING
from xml.parsers import expat

from chorus_handbook.music.musicxml.markup import repair, tidy
from chorus_handbook.music.musicxml.places import Places, line_of
from chorus_handbook.music.musicxml.schema import Fault, faults
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place

if TYPE_CHECKING:
    from lxml import etree

ROOTS = ("score-partwise", "score-timewise")
#: Faults against the schema that are told of one file, and how often what is not needed is taken
#: out for their sake: what goes may bring others to light.
_MOST_TOLD, _MOST_REPAIRS = 5, 3
_LONGEST_FAULT = 200
_EXPORT = "Export the score again from the notation editor, as MusicXML."
#: The place, which stands before the message anyway.
_AT = re.compile(r", line \d+, column \d+$")
#: Before the name of an element; the values that one may have stand in braces, too, but in quotes.
_NAMESPACE = re.compile(r"\{[^}'\s]*\}")


class ScoreFileError(Exception):
    """A score file cannot be read. It has a message, a hint, a problem code and the line in the
    file (None for the whole file)."""

    def __init__(
        self,
        message: str,
        hint: str,
        code: str = "score-file",
        at: Place | None = None,
    ) -> None:
        super().__init__(message)
        self.message, self.hint, self.code, self.at = message, hint, code, at

    def place(self, path: str) -> Place:
        """Where in the file at `path` it is; its beginning where that is not known."""
        return replace(self.at, path=path) if self.at else Place(path)


class _PrologReadError(Exception):
    """The first element is reached: stops the reading."""


def parse(data: bytes) -> etree._ElementTree:
    """The tree of an XML document, without comments. Raises ScoreFileError."""
    from lxml import etree  # late: only handbooks with score files need it

    _look_at_prolog(data)
    parser = etree.XMLParser(
        resolve_entities=False,
        load_dtd=False,
        no_network=True,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        return etree.ElementTree(etree.fromstring(data, parser))
    except (etree.XMLSyntaxError, ValueError) as error:
        line, column = getattr(error, "position", (1, 1))
        raise ScoreFileError(
            f"This is not well-formed XML: {_clean(getattr(error, 'msg', None) or str(error))}",
            f"The file may have been cut off or edited by hand. {_EXPORT}",
            at=Place("", max(line, 1), max(column, 1)),
        ) from error


def parse_score(data: bytes) -> tuple[etree._ElementTree | None, list[ScoreFileError]]:
    """Parse a score, remove what singers do not need, and validate it. Returns the tree, or
    everything that is wrong."""
    try:
        tree = parse(data)
    except ScoreFileError as error:
        return None, [error]
    root = tree.getroot()
    if root.tag not in ROOTS:
        name = _NAMESPACE.sub("", str(root.tag))
        other = "of another format" if name in ROOTS else "not a score"
        return None, [
            ScoreFileError(
                f"The file holds {shown(name)}, {other}.",
                "Export the score from the notation editor as MusicXML; its own format cannot be "
                "read.",
                at=Place("", line_of(root)),
            )
        ]
    wrong = _faults(tree)
    places = Places(root, "")
    told = [
        ScoreFileError(
            f"The file is not valid MusicXML here: {_clean(fault.message)}",
            _EXPORT,
            at=places.of(fault.element) if fault.element is not None else Place("", fault.line),
        )
        for fault in wrong[:_MOST_TOLD]
    ]
    if len(wrong) > _MOST_TOLD:
        told[-1].message += f" ({len(wrong) - _MOST_TOLD} more like this in the file.)"
    return (None, told) if told else (tree, [])


def _faults(tree: etree._ElementTree) -> list[Fault]:
    """What the schema does not allow once all has gone that no singer needs."""
    root = tree.getroot()
    tidy(root)
    wrong = list(faults(tree))
    for _ in range(_MOST_REPAIRS):
        known = [(fault.element, fault.message) for fault in wrong if fault.element is not None]
        if not repair(known, root):
            break
        wrong = list(faults(tree))
    return wrong


def _look_at_prolog(data: bytes) -> None:
    """Read no further than the first element, and refuse a document type that declares anything.
    Notation editors name the public one, which is passed over and never loaded."""

    def document_type(*declared: object) -> None:
        if declared[-1]:  # has declarations of its own
            raise ScoreFileError(
                "The file declares a document type or entities of its own.",
                f"Such declarations are never read. {_EXPORT}",
                at=Place("", reader.CurrentLineNumber),
            )

    def element(*_: object) -> None:
        raise _PrologReadError

    reader = expat.ParserCreate()
    reader.StartDoctypeDeclHandler = document_type
    reader.StartElementHandler = element
    try:
        reader.Parse(data, True)
    except (_PrologReadError, expat.ExpatError, LookupError, ValueError):
        return  # what is no XML at all is told by the parser that reads the whole


def _clean(message: str) -> str:
    """A message of the XML library, short and on one line."""
    text = _AT.sub("", " ".join(_NAMESPACE.sub("", message).split()).rstrip("."))
    return (text if len(text) <= _LONGEST_FAULT else text[: _LONGEST_FAULT - 1] + "…") + "."
