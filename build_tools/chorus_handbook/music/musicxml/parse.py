"""Parses MusicXML that may come from strangers, strictly: it accepts no entities and no document
type of the file's own, loads nothing, and allows only what the schema allows.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING
from xml.parsers import expat

from chorus_handbook.music.musicxml.markup import repair, tidy
from chorus_handbook.music.musicxml.places import Places, line_of
from chorus_handbook.music.musicxml.schema import SchemaError, schema_errors
from chorus_handbook.music.musicxml.xml_errors import plain_error
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place

if TYPE_CHECKING:
    from lxml import etree

#: The root elements of the two forms of MusicXML.
ROOTS = ("score-partwise", "score-timewise")
#: How many errors against the schema are reported for one file.
_MOST_REPORTED = 5
#: How often a file is repaired and validated again: a repair can uncover further errors.
_MOST_REPAIRS = 3
#: The most characters of a message of the XML library that are shown.
_LONGEST_MESSAGE = 200
_EXPORT = "Export the score again from the notation editor, as MusicXML."
#: The place at the end of the XML library's messages. Ours have the place at the beginning.
_AT = re.compile(r", line \d+, column \d+$")
#: The namespace before the name of an element. (Lists of allowed values are in braces too, but have
#: quotation marks.)
_NAMESPACE = re.compile(r"\{[^}'\s]*\}")


class ScoreFileError(Exception):
    """A score file cannot be read. `message` and `hint` are for the author, `code` is the problem's
    code, and `at` is the place in the file (None for the whole file)."""

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
        """The place of the error in the file at `path`; the start of the file if it is not
        known."""
        return replace(self.at, path=path) if self.at else Place(path)


class _PrologReadError(Exception):
    """Stops reading at the first element."""


def parse(data: bytes) -> etree._ElementTree:
    """The tree of an XML document, without its comments. Raises ScoreFileError."""
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
            plain_error(error, data),
            f"The file may have been cut off or edited by hand. {_EXPORT}",
            at=Place("", max(line, 1), max(column, 1)),
        ) from error


def parse_score(data: bytes) -> tuple[etree._ElementTree | None, list[ScoreFileError]]:
    """Parse a score, remove what singers do not need, and validate it. Returns the tree and no
    errors, or None and the errors."""
    try:
        tree = parse(data)
    except ScoreFileError as error:
        return None, [error]
    root = tree.getroot()
    if root.tag not in ROOTS:
        name = _NAMESPACE.sub("", str(root.tag))
        what = "a score of another format" if name in ROOTS else "not a score"
        return None, [
            ScoreFileError(
                f"The file is {what}: it begins with the element {shown(name)}.",
                "Export the score from the notation editor as MusicXML. Files in the format of the "
                "editor itself cannot be read.",
                at=Place("", line_of(root)),
            )
        ]
    wrong = _schema_errors(tree)
    places = Places(root, "")
    errors = [
        ScoreFileError(
            f"The file is not valid MusicXML here: {_clean(error.message)}",
            _EXPORT,
            at=places.of(error.element) if error.element is not None else Place("", error.line),
        )
        for error in wrong[:_MOST_REPORTED]
    ]
    if len(wrong) > _MOST_REPORTED:
        errors[-1].message += f" ({len(wrong) - _MOST_REPORTED} further errors are not listed.)"
    return (None, errors) if errors else (tree, [])


def _schema_errors(tree: etree._ElementTree) -> list[SchemaError]:
    """Remove from the tree what no singer needs, and validate the rest. Returns the errors that
    remain."""
    root = tree.getroot()
    tidy(root)
    wrong = list(schema_errors(tree))
    for _ in range(_MOST_REPAIRS):
        known = [(error.element, error.message) for error in wrong if error.element is not None]
        if not repair(known, root):
            break
        wrong = list(schema_errors(tree))
    return wrong


def _look_at_prolog(data: bytes) -> None:
    """Read a document up to its first element, and refuse a document type with declarations of its
    own. The public document type, which notation editors name, is ignored and never loaded."""

    def document_type(*declared: object) -> None:
        *_, has_declarations = declared
        if has_declarations:
            raise ScoreFileError(
                "The file declares a document type or entities of its own, which are never read.",
                _EXPORT,
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
        return  # the parser that reads the whole document reports what is not XML


def _clean(message: str) -> str:
    """A message of the XML library, short and on one line."""
    text = _AT.sub("", " ".join(_NAMESPACE.sub("", message).split()).rstrip("."))
    return (text if len(text) <= _LONGEST_MESSAGE else text[: _LONGEST_MESSAGE - 1] + "…") + "."
