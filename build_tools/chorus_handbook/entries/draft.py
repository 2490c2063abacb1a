"""The text of a new exercise: valid from the start, with every part an author would write."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

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
    fields = {
        "title": in_yaml(title),
        "summary": in_yaml(summary),
        "goals": f"[{', '.join(goals)}]",
        "impact": str(impact),
        "sounding": sounding,
        "minutes": f"{minutes:g}",
    }
    if notated:
        fields |= {"tempo": "84", "keys": "C4 up to E4" if minutes >= 1 else "C4"}
    return written_out(fields, _FENCE if notated else "")


def written_out(fields: Mapping[str, str], fence: str) -> str:
    """An exercise file with these fields, each as YAML writes its value, and all the parts that an
    author would write. `fence` holds the notation, with its marks, or nothing."""
    head = (f"{name}: {value}".rstrip() for name, value in fields.items())
    return "\n".join(["---", *head, "---", _SECTIONS.format(fence=fence).strip("\n"), ""])


def in_yaml(text: str) -> str:
    """One line of text as YAML reads it back: bare where that works, else in quotes."""
    document, problems = read_yaml(f"text: {text}", Place("draft"))
    if document and not problems and document.data == {"text": text}:
        return text
    return json.dumps(text, ensure_ascii=False)
