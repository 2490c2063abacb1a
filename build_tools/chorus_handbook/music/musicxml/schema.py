"""Validates score files with the schema of MusicXML 4.0 (W3C Music Notation Community Group), which
also fits older files.

The schema is a file beside this module (made by `make_schema`). It imports two small schemas for
attributes of XML and XLink; the parts of them that it uses are in this module, so that nothing is
ever downloaded.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lxml import etree
    from lxml.etree import _Element

#: A damaged file may have any number of errors; no more than this are read.
_MOST_ERRORS = 1000
#: The schema as it was published.
SCHEMA_FILE = Path(__file__).with_name("musicxml-4.0.xsd")

_HEAD = '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace='
_XML = (
    f'{_HEAD}"http://www.w3.org/XML/1998/namespace">'
    '<xs:attribute name="lang" type="xs:language"/>'
    '<xs:attribute name="space"><xs:simpleType><xs:restriction base="xs:NCName">'
    '<xs:enumeration value="default"/><xs:enumeration value="preserve"/>'
    "</xs:restriction></xs:simpleType></xs:attribute></xs:schema>"
)
_XLINK = (
    f'{_HEAD}"http://www.w3.org/1999/xlink">'
    + "".join(
        f'<xs:attribute name="{name}" type="xs:string"/>'
        for name in ("actuate", "href", "role", "show", "title", "type")
    )
    + "</xs:schema>"
)
_IMPORTS = {"xml.xsd": _XML, "xlink.xsd": _XLINK}


@dataclass(frozen=True, slots=True)
class SchemaError:
    """Something that the schema does not allow: its place, the message, and the element, if it is
    known."""

    line: int
    column: int
    message: str
    element: _Element | None


def schema_errors(tree: etree._ElementTree) -> Iterator[SchemaError]:
    """Everything in a document that the schema does not allow."""
    schema = _schema()
    if not schema.validate(tree):
        for entry in islice(schema.error_log, _MOST_ERRORS):
            found = tree.xpath(entry.path) if entry.path else []
            element = found[0] if isinstance(found, list) and found else None
            yield SchemaError(entry.line, max(entry.column, 1), entry.message, element)


@lru_cache(maxsize=1)
def _schema() -> etree.XMLSchema:
    from lxml import etree  # late: only handbooks with score files need it

    class Imports(etree.Resolver):
        """Provides the schemas that the schema imports, and nothing for any other address."""

        def resolve(self, system_url: str | None, _public_id: str | None, context: Any) -> Any:
            text = _IMPORTS.get((system_url or "").rpartition("/")[2])
            return self.resolve_string(text, context) if text else self.resolve_empty(context)

    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(Imports())
    return etree.XMLSchema(etree.fromstring(SCHEMA_FILE.read_bytes(), parser))
