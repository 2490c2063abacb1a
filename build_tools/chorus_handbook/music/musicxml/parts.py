"""Finds out who sings which voice of which part of a score file, by the names of the parts.

A part may be named after a voice, a group, or several of these joined with +, a comma, a slash,
"and" or a new line. If it has several voices on its staves, they are given to the singers in this
order, from the top. Two lines with the same rhythm are one voice that divides.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.musicxml.layers import Voice
from chorus_handbook.music.musicxml.walk import LayerKey
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import ALL, Singers, called, first_octave
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes

#: What stands between the names in a part's name.
_BETWEEN = re.compile(r"\s*(?:[+,/&;\n]|\band\b)\s*")


@dataclass(frozen=True, slots=True)
class NamedPart:
    """A part of the file: its id, its printed name, the place of that name, and those of its voices
    that have notes, from the top."""

    id: str
    name: str
    place: Place
    layers: tuple[LayerKey, ...]


@dataclass(frozen=True, slots=True)
class AssignedLine:
    """A voice of a part, and who sings it."""

    part: str
    voice: Voice
    singers: Singers


@dataclass(slots=True)
class _Assigner:
    """Finds the singers of one part after another. `taken` has, by singer, the part that they
    sing."""

    chorus: Chorus
    voices: tuple[str, ...]
    lines: list[AssignedLine] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    taken: dict[str, NamedPart] = field(default_factory=dict)

    def assign(self, part: NamedPart, members: Sequence[tuple[str, ...]], joined: bool) -> None:
        """Assign the voices of a part to those it is named after. `members` are the singers behind
        each name in its name: each of these groups gets a voice, or, if there are as many voices as
        singers, each singer. `joined`: all of them sing one line."""
        singers = [name for names in members for name in names]
        for name in singers:
            if name in self.taken:
                self._complain(
                    part,
                    f"{name} sings in the part {shown(self.taken[name].name)} already.",
                    "Name each part after other singers.",
                )
                return
            self.taken[name] = part
        keys = part.layers
        if len(keys) <= 1:
            key = keys[0] if keys else (1, "1")
            self._line(part, Voice(key), tuple(singers), joined)
        elif len(keys) in (len(members), len(singers)):
            groups = members if len(keys) == len(members) else [(name,) for name in singers]
            for key, names in zip(keys, groups, strict=True):
                self._line(part, Voice(key, _neighbour(key, keys)), names, False)
        elif len(singers) == 1:
            self._line(part, Voice(keys[0], also=keys[1:]), tuple(singers), False)
        else:
            self._complain(
                part,
                f"The part {shown(part.name)} has {len(keys)} voices, but is named after "
                f"{len(singers)} who sing."
                if part.name
                else f"This part has {len(keys)} voices, but no name to say who sings them.",
                "Name it after as many as there are voices, from the top: Soprano + Alto.",
            )

    def _line(self, part: NamedPart, voice: Voice, names: tuple[str, ...], joined: bool) -> None:
        ordered = names if names == (LEADER,) else self.chorus.in_order(names)
        octave = first_octave(ordered, self.chorus)
        self.lines.append(AssignedLine(part.id, voice, Singers(ordered, octave, joined)))

    def _complain(self, part: NamedPart, message: str, hint: str) -> None:
        self.problems.append(Problem(part.place, "notation-voice", message, hint))

    def nobody(self, part: NamedPart) -> None:
        """Report a part whose name is not that of any singers."""
        known = [ALL, LEADER, *self.chorus.voices, *self.chorus.groups]
        self._complain(
            part,
            f"There is no voice or group called {shown(' '.join(part.name.split()))}."
            if part.name
            else "This part has no name, so it is not clear who sings it.",
            f"Name the part in the notation editor after who sings it: {in_quotes(known)}, or "
            'several joined with "+".' + did_you_mean(part.name[:40], known),
        )


def _neighbour(key: LayerKey, keys: Sequence[LayerKey]) -> LayerKey | None:
    """The first other voice, from the top, on the same staff; None if there is none."""
    return next((other for other in keys if other != key and other[0] == key[0]), None)


def assign_parts(
    parts: Sequence[NamedPart], chorus: Chorus, voices: Sequence[str]
) -> tuple[list[AssignedLine], list[Problem]]:
    """Find out who sings what. `voices` are the voices of the exercise, who sing a single part that
    has no name."""
    assigner = _Assigner(chorus, tuple(voices))
    for part in parts:
        name = part.name or (ALL if len(parts) == 1 else "")
        members = _members(name, chorus, tuple(voices)) if name else None
        if members is None:
            assigner.nobody(part)
        else:
            assigner.assign(part, members, len(members) > 1 or "+" in name)
    return assigner.lines, assigner.problems


def singers_named(name: str, chorus: Chorus) -> list[tuple[str, ...]] | None:
    """Who sings a part with this name: the singers behind each name in it. None when one of them is
    unknown."""
    return _members(name, chorus, tuple(chorus.voices)) if name else None


def _members(name: str, chorus: Chorus, voices: tuple[str, ...]) -> list[tuple[str, ...]] | None:
    """The singers behind each name in a part's name; None when one of them is unknown."""
    for names in ([name], _BETWEEN.split(name.replace("\n", "+")), name.split()):
        found = [_called(n, chorus, voices) for n in names if n]
        members = [singers for singers in found if singers]
        if members and len(members) == len(found):
            return members
    return None


def _called(name: str, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    """The singers with this name. Scores may also use a plural, or the first letters of a voice if
    no other begins with them (S., A., T., B.: common practice)."""
    for known in (name, name.removesuffix("s"), name.removesuffix("es")):
        singers = called(known, chorus, voices)
        if singers:
            return singers
    start = name.rstrip(".").casefold()
    labels = {key: voice.label.casefold() for key, voice in chorus.voices.items()}
    alike = [key for key, label in labels.items() if start and label.startswith(start)]
    return (alike[0],) if len(alike) == 1 else None


def by_part(lines: Sequence[AssignedLine]) -> Mapping[str, list[AssignedLine]]:
    """The lines of each part."""
    grouped: dict[str, list[AssignedLine]] = {}
    for line in lines:
        grouped.setdefault(line.part, []).append(line)
    return grouped
