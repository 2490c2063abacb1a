"""Writes the file of a new exercise, for `handbook new` and `handbook import`.

Its fields are valid, and it has all sections. Where only the author can say something, there is a
placeholder: a text in [brackets]. The check in `placeholders` reports placeholders that were not
replaced.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

from chorus_handbook.chorus.model import NotationKind
from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

#: The text below the fields of a new exercise; `{fence}` is where its notes go.
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
#: The example notes of a new exercise, for each kind of notation.
_FENCES: Mapping[NotationKind, str] = {
    "sung": "\n```degrees\nwords: [syllable] ...\nall: 1 2 3 2 | 1 - - 0 |\n```\n",
    "spoken": "\n```degrees\nwords: [syllable] ...\nall: x x x x | x - - 0 |\n```\n",
    "none": "",
}
#: The tempo of a new exercise, in beats a minute.
_TEMPO = 84

#: Every text in brackets that a new exercise contains.
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
    """The text of a new exercise file with these fields (see `model.FrontMatter`) and example notes
    of the given `notation`. Without notes, `keys` is not used."""
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
    return exercise_text(fields, _FENCES[notation])


def exercise_text(fields: Mapping[str, str], fence: str) -> str:
    """The text of an exercise file: its fields, whose values are YAML, then all sections with
    placeholders. `fence` is the notation with its ``` lines; it may be empty."""
    head = (f"{name}: {value}".rstrip() for name, value in fields.items())
    return "\n".join(["---", *head, "---", _SECTIONS.format(fence=fence).strip("\n"), ""])


def in_yaml(text: str) -> str:
    """A line of text as a YAML value. It gets quotes only if YAML would read it as something other
    than this text without them."""
    document, problems = read_yaml(f"text: {text}", Place("draft"))
    if document and not problems and document.data == {"text": text}:
        return text
    return json.dumps(text, ensure_ascii=False)
