"""YAML to plain data, with the place of every field kept.

The text is read as a stream of events, so nothing an author writes can recurse deeply or be
expanded: anchors, aliases, tags, merge keys, duplicate fields and a second document are problems,
and nesting stops at `DEEPEST`. Bare words mean what YAML 1.2 says (`scalars`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from chorus_handbook.problems import Place, Problem
from chorus_handbook.source.slips import slip
from chorus_handbook.source.text import FORBIDDEN, forbidden_characters
from chorus_handbook.source.yaml_events import EventReader, FieldPath, UnreadableError


@dataclass(frozen=True, slots=True)
class Document:
    """What a YAML text says.

    `data` is made of dict, list, str, int, float, bool and None. `places` has the place of every
    value by its path, such as ("goals", 1); a value that spans lines is found at its field's name.
    `names` has the place of every field's name. `place` is where a missing field is reported.
    `unread` are paths whose value was refused, so that nobody complains about it twice.
    """

    data: dict[str | int, Any]
    place: Place
    places: Mapping[FieldPath, Place]
    names: Mapping[FieldPath, Place]
    unread: frozenset[FieldPath]

    def place_of(self, *path: str | int) -> Place:
        """Where a value stands; the nearest enclosing one when it has no place of its own."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, self.place)

    def name_of(self, *path: str | int) -> Place:
        """Where a field's name stands; for an item of a list, the item."""
        return self.names.get(path) or self.place_of(*path)


def read_yaml(
    text: str, place: Place, first_line: int = 1
) -> tuple[Document | None, list[Problem]]:
    """The fields of a YAML text.

    `place` names the file and the spot to blame for what is missing; the text's first line is
    line `first_line` of that file. A text with nothing in it is a document without fields. The
    document is None when the text cannot be read to its end.

    Characters that may not stand in a file are problems here too, for texts that `read_text` has
    not seen: the parser takes U+0085, U+2028 and U+2029 for line ends, as YAML 1.1 had them, and
    would turn them into spaces without a word.
    """
    forbidden = forbidden_characters(text, place, first_line)
    reader = EventReader(FORBIDDEN.sub(" ", text), place, first_line)
    reader.problems += forbidden
    try:
        data = reader.read()
    except yaml.MarkedYAMLError as error:
        reader.add(slip(error, text.split("\n")))
        return None, reader.problems
    except yaml.YAMLError:  # a character that YAML forbids; read_text has already replaced those
        reader.report(
            place, "yaml-syntax", "YAML cannot read this text.", "Delete it and retype it."
        )
        return None, reader.problems
    except UnreadableError:
        return None, reader.problems
    document = Document(data, place, reader.places, reader.names, frozenset(reader.unread))
    return document, reader.problems
