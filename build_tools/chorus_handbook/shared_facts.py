"""Constants that Python and the browser share, such as the loudness of clicks.

They are written once, in `browser/shared_facts.js`, whose comments explain each; this module reads
that file. Use it as `FACTS["name"]`.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "browser" / "shared_facts.js"
#: The beginning of a statement that exports a table ({} is the table's name), and its end.
_START, _END = "export const {} = ", ";\n"


def read_table(file: Path, name: str) -> dict[str, Any]:
    """The table that the script `file` exports under this name. It must be the last thing in the
    script, and written as plain JSON."""
    text, start = file.read_text(encoding="utf-8"), _START.format(name)
    return dict(json.loads(text[text.index(start) + len(start) : text.rindex(_END)]))


FACTS = read_table(FILE, "FACTS")
