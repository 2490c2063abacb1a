"""What Python and the browser must both know: the table in `browser/shared_facts.js`, where each
entry is explained. It is written once, there, and read here."""

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
