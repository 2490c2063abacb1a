"""Copies the schema of MusicXML 4.0 from the PyPI package `musicxml` into our package, so that
validating needs no further package at run time.

Run it with `python -m chorus_handbook.music.musicxml.make_schema` when the schema changes; it needs
our package's extra `test`.
"""

from __future__ import annotations

from importlib import metadata

from chorus_handbook.music.musicxml.schema import SCHEMA_FILE

_PACKAGE, _FILE = "musicxml", "musicxml_4_0.xsd"


def make() -> bytes:
    """The schema as it was published."""
    files = metadata.files(_PACKAGE) or []
    found = next(file for file in files if file.name == _FILE)
    return found.read_binary()


if __name__ == "__main__":
    SCHEMA_FILE.write_bytes(make())
