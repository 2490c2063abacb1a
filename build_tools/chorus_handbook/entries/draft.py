"""The text of a new exercise: valid from the start, with every part an author would write."""

from __future__ import annotations

import json
from collections.abc import Sequence

from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

_SECTIONS = """
[What it is for, in one or two sentences.]

## Say
[Two short sentences to say aloud.]
{fence}
## How to run it
1. (20 s) [The first step.]
2. [And the next.]

## Listen for
[What it sounds or feels like when it works.]

## What goes wrong
- **[What happens.]** [What to do about it.]

## Make it fit
- **Easier:** [how]
- **Harder:** [how]
- **Seated:** [how]
- **Small group:** [how]

## Variations
- [Another way to do it.]
"""
_FENCE = """
```degrees
words: mm ...
all: 1 2 3 2 | 1 - - 0 |
```
"""


def draft(
    *,
    title: str,
    summary: str,
    goals: Sequence[str],
    impact: int,
    sounding: str,
    minutes: float,
    notated: bool,
) -> str:
    """A whole exercise file that passes every check, for its author to fill in."""
    fields = [
        f"title: {in_yaml(title)}",
        f"summary: {in_yaml(summary)}",
        f"goals: [{', '.join(goals)}]",
        f"impact: {impact}",
        f"sounding: {sounding}",
        f"minutes: {minutes:g}",
    ]
    if notated:
        fields += ["tempo: 84", "keys: C4 up to E4" if minutes >= 1 else "keys: C4"]
    body = _SECTIONS.format(fence=_FENCE if notated else "")
    return "\n".join(["---", *fields, "---", body.strip("\n"), ""])


def in_yaml(text: str) -> str:
    """One line of text as YAML reads it back: bare where that works, else in quotes."""
    document, problems = read_yaml(f"text: {text}", Place("draft"))
    if document and not problems and document.data == {"text": text}:
        return text
    return json.dumps(text, ensure_ascii=False)
