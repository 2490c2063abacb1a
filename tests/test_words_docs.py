"""docs/words.md: every word once, in alphabetical order, with a module that exists."""

from __future__ import annotations

import re
from pathlib import Path

import chorus_handbook

PACKAGE = Path(chorus_handbook.__file__).parent
DOCS = Path(__file__).parent.parent / "docs"
ROWS = re.findall(r"(?m)^\| (.+?) \| (.+?) \| `(.+?)` \|$", (DOCS / "words.md").read_text("utf-8"))


def test_every_word_stands_once_in_alphabetical_order() -> None:
    words = [word for word, *_ in ROWS]
    assert len(words) > 50
    assert words == sorted(set(words))


def test_every_module_that_is_named_exists() -> None:
    assert [module for *_, module in ROWS if not (PACKAGE / module).is_file()] == []
