"""A checked, engraved handbook of warm-up exercises, made from plain files.

First, each file is read by itself: `chorus` reads who sings and which words may be used; `entries`
turns a file into validated content; `music` turns its notation into a score with measured facts;
`voices` finds out who can sing it in which key; `claims` compares what its author states with what
was measured; `engraving` draws it; `sound` computes when each note sounds. Everything that is known
of one file by itself is its record (`records`), which is made once and stored.

Then the files are read together: `views` sorts exercises into lists, `warmups` checks warm-ups and
routines, `pages` makes the HTML of all pages, and `mkdocs_plugin` hands it to MkDocs. `pipeline`
calls all of these in order.

The names below are the interface for other programs, which docs/api.md explains: `load` reads a
handbook, the others are the types of what it returns. They are imported when they are first used,
so that `import chorus_handbook` costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.api import load as load
    from chorus_handbook.chorus.model import Chorus as Chorus
    from chorus_handbook.chorus.model import Vocabulary as Vocabulary
    from chorus_handbook.chorus.model import Voice as Voice
    from chorus_handbook.entries.model import FrontMatter as FrontMatter
    from chorus_handbook.entries.model import Text as Text
    from chorus_handbook.music.facts import Facts as Facts
    from chorus_handbook.music.facts import VoiceFacts as VoiceFacts
    from chorus_handbook.pipeline import Handbook as Handbook
    from chorus_handbook.problems import Place as Place
    from chorus_handbook.problems import Problem as Problem
    from chorus_handbook.records.record import Exercise as Exercise
    from chorus_handbook.voices.ladder import Ladder as Ladder
    from chorus_handbook.voices.ladder import Rung as Rung

__version__ = "0.1.0"

#: Every public name, and the module in which it is defined.
_HOMES = {
    "load": "api",
    "Handbook": "pipeline",
    "Exercise": "records.record",
    "FrontMatter": "entries.model",
    "Facts": "music.facts",
    "VoiceFacts": "music.facts",
    "Ladder": "voices.ladder",
    "Rung": "voices.ladder",
    "Text": "entries.model",
    "Chorus": "chorus.model",
    "Voice": "chorus.model",
    "Vocabulary": "chorus.model",
    "Problem": "problems",
    "Place": "problems",
}


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOMES])
