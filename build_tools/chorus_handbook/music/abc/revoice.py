"""Gives music in ABC to the voices of another chorus."""

from __future__ import annotations

import re
from collections.abc import Iterator

from chorus_handbook.music.abc.keys import FieldError
from chorus_handbook.music.abc.voices import read_manner
from chorus_handbook.music.revoicing import Revoicing

#: A field of a voice on a line of its own or inside the music: V:name, then how it is written.
_VOICE = re.compile(
    r"(?P<before>^[ \t]*V:[ \t]*|\[V:[ \t]*)(?P<id>[^\s\]%]+)(?P<manner>[^\n\]%]*)", re.M
)
_KEY = re.compile(r"^[ \t]*K:[ \t]*\S+(?P<manner>[^\n%]*)", re.M)
#: The name that is printed before the staff of a voice, and what moves it by octaves.
_NAME = re.compile(r"\b(name|nm|n)[ \t]*=[ \t]*(\"[^\"]*\"|\S+)")
_SHIFT = re.compile(r"[ \t]+(?:octave|transpose)[ \t]*=[ \t]*[+-]?\d+|(?<=[a-z\d])[+-]8(?=\s|$)")


def names_in(text: str) -> Iterator[str]:
    """The names of the voices: those behind `V:`, or else what is printed before their staff."""
    for found in _VOICE.finditer(text):
        yield found["id"]
        name = _NAME.search(found["manner"])
        if name:
            yield name[2].strip('"')


def revoice(text: str, revoicing: Revoicing) -> str:
    """The text of a fence with the lines of their voices given to ours. Where a line moves to
    another octave, the first `V:` of its voice says so."""
    key = _KEY.search(text)
    key_shift = (_shift(key["manner"]) if key else None) or 0
    shifts = _shifts(text, key_shift)
    seen: set[str] = set()

    def written(found: re.Match[str]) -> str:
        name, manner = found["id"], found["manner"]
        singers = revoicing.theirs_of(name)
        printed = _NAME.search(manner)
        if singers is None and printed:
            singers = revoicing.theirs_of(printed[2].strip('"'))
        if singers is None:
            return found[0]
        if revoicing.theirs_of(name) is not None:
            name = revoicing.renamed(name)
            manner = _NAME.sub("", manner).rstrip() if printed else manner
        elif printed:
            new = revoicing.renamed(printed[2].strip('"'))
            manner = manner[: printed.start(2)] + f'"{new}"' + manner[printed.end(2) :]
        octaves = revoicing.octaves_of(singers)
        if octaves:
            manner = _SHIFT.sub("", manner)
            if found["id"] not in seen:
                shift = shifts[found["id"]] + octaves
                needed = shift or key_shift  # 0 must be written too where K: says something else
                manner = f"{manner.rstrip()} octave={shift}" if needed else manner
        seen.add(found["id"])
        return f"{found['before']}{name}{manner}"

    return _VOICE.sub(written, text)


def _shifts(text: str, key_shift: int) -> dict[str, int]:
    """By how many octaves each voice is written away from where it sounds, by its id: as its first
    `V:` that says so, or else as `K:` does (`key_shift`)."""
    found: dict[str, int | None] = {}
    for voice in _VOICE.finditer(text):
        before = found.get(voice["id"])
        found[voice["id"]] = _shift(voice["manner"]) if before is None else before
    return {name: key_shift if shift is None else shift for name, shift in found.items()}


def _shift(manner: str) -> int | None:
    try:
        return read_manner(manner).shift
    except FieldError:
        return None
