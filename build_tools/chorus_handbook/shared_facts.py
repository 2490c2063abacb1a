"""Constants that Python and the browser share, such as the loudness of clicks.

They are written once, in `browser/shared_facts.js`, whose comments explain each; this module reads
that file. Use it as `FACTS["name"]`.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "browser" / "shared_facts.js"
_START, _END = "export const FACTS = ", ";\n"


def _read() -> dict[str, Any]:
    text = FILE.read_text(encoding="utf-8")
    return dict(json.loads(text[text.index(_START) + len(_START) : text.rindex(_END)]))


FACTS = _read()
