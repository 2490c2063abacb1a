"""Gives music in `degrees` to the voices of another chorus."""

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
    """The names before the lines of music, and in `octave:` lines."""
    for line in text.split("\n"):
        found = _NAME.match(line)
        if found and found[1] not in HEADERS:
            yield found[1]
        elif found and found[1] == "octave":
            yield from (part.split()[0] for part in line[found.end() :].split(",") if part.split())


def revoice(text: str, revoicing: Revoicing) -> str:
    """The text of a fence with the lines of their voices given to ours. In `degrees` every voice
    sings in its own octave; where a line has to sound in another, an `octave:` line says so."""
    lines = []
    for line in text.split("\n"):
        found = _NAME.match(line)
        if found is None or found[1] in HEADERS:
            if found is None or found[1] != "octave":
                lines.append(line)
            continue
        lines.append(line[: found.start(1)] + revoicing.renamed(found[1]) + line[found.end(1) :])
    octaves = _octaves(text, revoicing)
    return "\n".join([*([f"octave: {octaves}"] if octaves else []), *lines])


def _octaves(text: str, revoicing: Revoicing) -> str:
    """What an `octave:` line has to say of our voices; empty where all sing in their own."""
    theirs, ours = revoicing.theirs, revoicing.ours
    notation = Notation("degrees", text, Place("adopted"))
    sorted_text, _ = read_lines(notation.text, notation.place, line_names(theirs))
    stated = read_header(sorted_text.headers, theirs)[0].octaves
    named = {v for name in names_in(text) for v in revoicing.theirs_of(name) or ()}
    found = {}
    for voice in (name for name in theirs.voices if name in named):
        octave = stated.get(voice, theirs.voices[voice].octave)
        found[revoicing.voices[voice]] = octave + revoicing.octaves.get(voice, 0)
    own = {name: voice.octave for name, voice in ours.voices.items()}
    if LEADER in names_in(text):
        found[LEADER] = stated.get(LEADER, theirs.leader.octave)
        own[LEADER] = ours.leader.octave
    return ", ".join(f"{name} {octave}" for name, octave in found.items() if octave != own[name])
