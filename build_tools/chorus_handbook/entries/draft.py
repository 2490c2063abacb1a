"""The text of a new exercise: every field valid, every part that an author would write.

What only the author can say stands in it as a text in [brackets]. `check` asks for each of them
(`placeholders`), so that none is published.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

from chorus_handbook.chorus.model import NotationKind
from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

_SECTIONS = """
[What it is for, in one or two sentences.]

## Say
[Two short sentences to say aloud.]
{fence}
## How to run it
1. [(20 s) The first step, with its seconds.]
2. [(20 s) The next step.]

## Listen for
[What it sounds or feels like when it works.]

## What goes wrong
- **[What happens.]** [What to do about it.]

## Make it fit
- **Easier:** [What to leave out or slow down.]
- **Harder:** [What to add.]
- **Seated:** [What changes for those who sit.]
- **Small group:** [What changes with few singers.]

## Variations
- [Another way to do it.]
"""
_FENCES: Mapping[NotationKind, str] = {
    "sung": "\n```degrees\nwords: [syllable] ...\nall: 1 2 3 2 | 1 - - 0 |\n```\n",
    "spoken": "\n```degrees\nwords: [syllable] ...\nall: x x x x | x - - 0 |\n```\n",
    "none": "",
}
_TEMPO = 84

#: Every text in brackets that a new exercise holds.
PLACEHOLDERS: tuple[str, ...] = tuple(
    dict.fromkeys(re.findall(r"\[[^\]]+\]", _SECTIONS + "".join(_FENCES.values())))
)


def draft(
    *,
    title: str,
    summary: str,
    goals: Sequence[str],
    impact: int,
    sounding: str,
    minutes: float,
    notation: NotationKind,
    keys: str = "C4",
    plain: str | None = None,
    level: int | None = None,
) -> str:
    """A whole exercise file for its author to fill in. `keys` are those of its notation, if it has
    any."""
    fields = {
        "title": in_yaml(title),
        **({"plain": in_yaml(plain)} if plain else {}),
        "summary": in_yaml(summary),
        "goals": f"[{', '.join(goals)}]",
        "impact": str(impact),
        "sounding": sounding,
        **({"level": str(level)} if level else {}),
        "minutes": f"{minutes:g}",
    }
    if notation != "none":
        fields |= {"tempo": str(_TEMPO), "keys": keys}
    return written_out(fields, _FENCES[notation])


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
