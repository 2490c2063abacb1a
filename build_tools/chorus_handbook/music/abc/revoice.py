"""Gives music in ABC to the voices of another chorus, by rewriting its fields `V:`.

"Theirs" is the chorus that the music was written for, "ours" the chorus that will sing it. After
`V:` stands the name of a voice, then its *manner*: settings such as `name="Alto" octave=-1`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from chorus_handbook.music.abc.keys import FieldError
from chorus_handbook.music.abc.voices import read_manner
from chorus_handbook.music.revoicing import Revoicing

#: A field of a voice, on a line of its own or in brackets among the notes.
_VOICE = re.compile(
    r"(?P<before>^[ \t]*V:[ \t]*|\[V:[ \t]*)(?P<id>[^\s\]%]+)(?P<manner>[^\n\]%]*)", re.M
)
_KEY = re.compile(r"^[ \t]*K:[ \t]*\S+(?P<manner>[^\n%]*)", re.M)
#: The setting of the name that is printed before the staff of a voice.
_NAME = re.compile(r"\b(name|nm|n)[ \t]*=[ \t]*(\"[^\"]*\"|\S+)")
#: A setting that moves a voice by octaves: octave=-1, transpose=-12, or +8 or -8 after a clef.
_SHIFT = re.compile(r"[ \t]+(?:octave|transpose)[ \t]*=[ \t]*[+-]?\d+|(?<=[a-z\d])[+-]8(?=\s|$)")


def names_in(text: str) -> Iterator[str]:
    """The names of the voices in a text: each name after `V:`, and the name that is printed before
    the staff, if one is given."""
    for found in _VOICE.finditer(text):
        yield found["id"]
        name = _NAME.search(found["manner"])
        if name:
            yield name[2].strip('"')


def revoice(text: str, revoicing: Revoicing) -> str:
    """The text rewritten so that our chorus's voices sing the lines of the other chorus's voices,
    as `revoicing` says. Where a line moves to another octave, the first `V:` of its voice gets a
    setting that says so."""
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
    """Maps the name of each voice (after `V:`) to the number of octaves that are added to its
    letters. The first `V:` of the voice that states this number counts, or else `K:` (`key_shift`).
    """
    shifts: dict[str, int | None] = {}
    for voice in _VOICE.finditer(text):
        before = shifts.get(voice["id"])
        shifts[voice["id"]] = _shift(voice["manner"]) if before is None else before
    return {name: key_shift if shift is None else shift for name, shift in shifts.items()}


def _shift(manner: str) -> int | None:
    """How many octaves these settings add to the letters; None if they do not say."""
    try:
        return read_manner(manner).shift
    except FieldError:
        return None
