"""Files to text, text to YAML, YAML to typed values: what every stage reads through.

Nothing an author writes is trusted and nothing raises: whatever cannot be read becomes a
`Problem` at its line and column. `text` reads a file, `document` reads YAML by the rules of YAML
1.2 and remembers where everything stood, `syntax_errors` says what is wrong with the YAML itself,
`fields` holds the values against a typed model and words what does not fit.
"""

from chorus_handbook.source.document import Document, read_yaml
from chorus_handbook.source.fields import renamed_field, validate
from chorus_handbook.source.text import clip, read_text, shown_path

__all__ = ["Document", "clip", "read_text", "read_yaml", "renamed_field", "shown_path", "validate"]
