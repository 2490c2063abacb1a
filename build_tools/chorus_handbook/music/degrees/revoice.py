"""Gives music in `degrees` notation to the voices of another chorus, by rewriting the names of
lines.

"Theirs" is the chorus that the music was written for, "ours" the chorus that will sing it. A line
has the form `name: notes`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees.headers import read_header
from chorus_handbook.music.degrees.lines import HEADERS, read_lines
from chorus_handbook.music.degrees.voices import line_names
from chorus_handbook.music.revoicing import Revoicing
from chorus_handbook.music.score import LEADER
from chorus_handbook.problems import Place

#: The name before the colon of a line.
_NAME = re.compile(r"[ \t]*([^:\n]*?)[ \t]*:")


def names_in(text: str) -> Iterator[str]:
    """The names in a text: those before lines of music, and those of voices in `octave:` lines."""
    for line in text.split("\n"):
        found = _NAME.match(line)
        if found and found[1] not in HEADERS:
            yield found[1]
        elif found and found[1] == "octave":
            yield from (part.split()[0] for part in line[found.end() :].split(",") if part.split())


def revoice(text: str, revoicing: Revoicing) -> str:
    """The text rewritten so that our chorus's voices sing the lines of the other chorus's voices,
    as `revoicing` says. In `degrees` every voice sings in its own octave; where a line has to sound
    in another octave, an `octave:` line says so."""
    octaves = _octaves(text, revoicing)
    lines = [f"octave: {octaves}"] if octaves else []
    for line in text.split("\n"):
        found = _NAME.match(line)
        if found and found[1] not in HEADERS:
            name = revoicing.renamed(found[1])
            lines.append(line[: found.start(1)] + name + line[found.end(1) :])
        elif not found or found[1] != "octave":
            lines.append(line)
    return "\n".join(lines)


def _octaves(text: str, revoicing: Revoicing) -> str:
    """What an `octave:` line has to say of our voices, such as "bass 0"; empty when all of them
    sing in their own octaves."""
    theirs, ours = revoicing.theirs, revoicing.ours
    notation = Notation("degrees", text, Place("adopted"))
    sorted_text, _ = read_lines(notation.text, notation.place, line_names(theirs))
    header, _ = read_header(sorted_text.headers, theirs)
    named = {v for name in names_in(text) for v in revoicing.theirs_of(name) or ()}
    needed = {}  # maps each of our voices to the octave in which it has to sing
    for voice in (name for name in theirs.voices if name in named):
        octave = header.octaves.get(voice, theirs.voices[voice].octave)
        needed[revoicing.voices[voice]] = octave + revoicing.octaves.get(voice, 0)
    own = {name: voice.octave for name, voice in ours.voices.items()}
    if LEADER in names_in(text):
        needed[LEADER] = header.octaves.get(LEADER, theirs.leader.octave)
        own[LEADER] = ours.leader.octave
    return ", ".join(f"{name} {octave}" for name, octave in needed.items() if octave != own[name])
