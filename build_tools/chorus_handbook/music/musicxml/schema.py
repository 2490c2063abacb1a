"""Validates score files against the schema of MusicXML 4.0 (W3C Music Notation Community Group),
which also fits older files.

The schema is a file beside this module, copied by `make_schema`. It imports two small schemas for
attributes of XML and XLink. What it uses of these two is written out in this module, so that
nothing is ever downloaded.
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

#: The beginning of a schema, up to the namespace that it is for.
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
#: The two imported schemas by their file names.
_IMPORTS = {"xml.xsd": _XML, "xlink.xsd": _XLINK}


@dataclass(frozen=True, slots=True)
class SchemaError:
    """Something that the schema does not allow: its line and column in the file, the XML library's
    message, and the element, if it is known."""

    line: int
    column: int
    message: str
    element: _Element | None


def schema_errors(tree: etree._ElementTree) -> Iterator[SchemaError]:
    """Everything in a document that the schema does not allow."""
    schema = _schema()
    if not schema.validate(tree):
        for entry in islice(schema.error_log, _MOST_ERRORS):
            matches = tree.xpath(entry.path) if entry.path else []
            element = next(iter(matches), None) if isinstance(matches, list) else None
            yield SchemaError(entry.line, max(entry.column, 1), entry.message, element)


@lru_cache(maxsize=1)
def _schema() -> etree.XMLSchema:
    """The schema, read once because that takes long."""
    from lxml import etree  # late: only handbooks with score files need it

    class Imports(etree.Resolver):
        """Provides the schemas that the schema imports, and nothing for any other address."""

        def resolve(self, system_url: str | None, _public_id: str | None, context: Any) -> Any:
            text = _IMPORTS.get((system_url or "").rpartition("/")[2])
            return self.resolve_string(text, context) if text else self.resolve_empty(context)

    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(Imports())
    return etree.XMLSchema(etree.fromstring(SCHEMA_FILE.read_bytes(), parser))
