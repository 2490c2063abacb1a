"""Reads authors' files: from bytes to text, from text to YAML, from YAML to validated fields.

Whatever an author wrote, nothing here raises an exception: what cannot be read becomes a `Problem`
with its line and column. `text` reads a file. `document` reads YAML 1.2 and keeps the place of
every value; `scalars` decides which values are numbers, and `syntax_errors` explains errors in the
YAML itself. `fields` validates the values, and `field_errors` explains those that are wrong.
`field_editor` changes single fields, and `named_files` finds files that fields name.
"""

from chorus_handbook.source.document import Document, read_yaml
from chorus_handbook.source.fields import renamed_field, validate
from chorus_handbook.source.text import clip, read_text, shown_path

__all__ = ["Document", "clip", "read_text", "read_yaml", "renamed_field", "shown_path", "validate"]
