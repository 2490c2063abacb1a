"""Reads authors' files: from bytes to text, from text to YAML, from YAML to validated fields.

Whatever an author wrote, nothing here raises: what cannot be read becomes a `Problem` with its line
and column. `text` reads a file. `document` reads YAML 1.2 and keeps the place of every value.
`syntax_errors` explains errors in the YAML itself, and `fields` validates values and explains those
that are wrong (with `field_errors`).
"""

from chorus_handbook.source.document import Document, read_yaml
from chorus_handbook.source.fields import renamed_field, validate
from chorus_handbook.source.text import clip, read_text, shown_path

__all__ = ["Document", "clip", "read_text", "read_yaml", "renamed_field", "shown_path", "validate"]
