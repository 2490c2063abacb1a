"""Finds out who sings what in a MusicXML file, by the printed names of its parts.

A part may be named after a voice of the chorus, a group, or several of these joined with +, a
comma, a slash, "and" or a new line. A part may have several *layers* (MusicXML calls them voices):
lines of music on one staff or several. They are given to the singers in the order of the names,
from the top. If only one voice is named, the layers are for that voice, which divides.
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
    """A part of the file: its id, its printed name, the place of that name, and its layers that
    have notes, from the top."""

    id: str
    name: str
    place: Place
    layers: tuple[LayerKey, ...]


@dataclass(frozen=True, slots=True)
class AssignedLine:
    """A line of music in a part (the part's id, and which layers it is in), and who sings it."""

    part: str
    voice: Voice
    singers: Singers


@dataclass(slots=True)
class _Assigner:
    """Finds the singers of one part after another. `voices` are the voices of the exercise, which
    "all" stands for; `taken` maps a voice of the chorus to the part that it sings."""

    chorus: Chorus
    voices: tuple[str, ...]
    lines: list[AssignedLine] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    taken: dict[str, NamedPart] = field(default_factory=dict)

    def assign(self, part: NamedPart, members: Sequence[tuple[str, ...]], joined: bool) -> None:
        """Give the layers of a part to those it is named after. `members` has, for each name in the
        part's name, the voices of the chorus that it means. Each name gets one layer, or each
        voice, if there are as many layers as voices. `joined` says whether several voices sing one
        layer in the same octave."""
        singers = [name for names in members for name in names]
        for name in singers:
            if name in self.taken:
                self._complain(
                    part,
                    f'The voice "{name}" already sings in the part {shown(self.taken[name].name)}.',
                    "In the notation editor, name each part after other voices.",
                )
                return
            self.taken[name] = part
        keys = part.layers
        if len(keys) <= 1:
            key = next(iter(keys), (1, "1"))  # without notes, any layer will do
            self._line(part, Voice(key), tuple(singers), joined)
        elif len(keys) in (len(members), len(singers)):
            groups = members if len(keys) == len(members) else [(name,) for name in singers]
            for key, names in zip(keys, groups, strict=True):
                self._line(part, Voice(key, _neighbour(key, keys)), names, joined=False)
        elif len(singers) == 1:
            top, *others = keys
            self._line(part, Voice(top, also=tuple(others)), tuple(singers), joined=False)
        else:
            self._complain(
                part,
                f"The part {shown(part.name)} has {len(keys)} lines of music, but its name means "
                f"{len(singers)} voices of the chorus."
                if part.name
                else f"This part has {len(keys)} lines of music, but no name, so it is not clear "
                "who sings them.",
                "In the notation editor, name the part after as many voices as it has lines, from "
                'the top, as in "Soprano + Alto".',
            )

    def _line(self, part: NamedPart, voice: Voice, names: tuple[str, ...], joined: bool) -> None:
        """Give a line of music to the voices with these names."""
        ordered = names if names == (LEADER,) else self.chorus.in_order(names)
        octave = first_octave(ordered, self.chorus)
        self.lines.append(AssignedLine(part.id, voice, Singers(ordered, octave, joined)))

    def _complain(self, part: NamedPart, message: str, hint: str) -> None:
        self.problems.append(Problem(part.place, "notation-voice", message, hint))

    def nobody(self, part: NamedPart) -> None:
        """Report a part whose name means no voice of the chorus."""
        known = [ALL, LEADER, *self.chorus.voices, *self.chorus.groups]
        self._complain(
            part,
            f"There is no voice or group called {shown(' '.join(part.name.split()))}."
            if part.name
            else "This part has no name, so it is not clear who sings it.",
            "In the notation editor, name the part after who sings it: write one of "
            f'{in_quotes(known)}, or several joined with "+".'
            + did_you_mean(part.name[:40], known),
        )


def _neighbour(key: LayerKey, keys: Sequence[LayerKey]) -> LayerKey | None:
    """The first layer, from the top, that is on the same staff as `key` but another one; None if
    there is none."""
    staff, _ = key
    return next((other for other in keys if other != key and other[0] == staff), None)


def assign_parts(
    parts: Sequence[NamedPart], chorus: Chorus, voices: Sequence[str]
) -> tuple[list[AssignedLine], list[Problem]]:
    """Find out who sings what. `voices` are the voices of the exercise; they also sing a part
    without a name if it is the only one. Returns the lines of music with their singers, and the
    problems."""
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
    """Who sings a part with this name: for each name in it, the voices of the chorus that it means.
    None when one of the names is unknown, or the part has no name."""
    return _members(name, chorus, tuple(chorus.voices)) if name else None


def _members(name: str, chorus: Chorus, voices: tuple[str, ...]) -> list[tuple[str, ...]] | None:
    """For each name in the name of a part, the voices of the chorus that it means; None when one of
    the names is unknown. `voices` are those that "all" stands for."""
    # The whole may be one name, or several with something or only spaces between.
    for names in ([name], _BETWEEN.split(name.replace("\n", "+")), name.split()):
        found = [_called(n, chorus, voices) for n in names if n]
        members = [singers for singers in found if singers]
        if members and len(members) == len(found):
            return members
    return None


def _called(name: str, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    """The voices of the chorus with this name; None if it is unknown. Scores may also use a plural,
    or the first letters of a voice if no other voice begins with them (S., A., T., B.: common
    practice)."""
    for known in (name, name.removesuffix("s"), name.removesuffix("es")):
        singers = called(known, chorus, voices)
        if singers:
            return singers
    start = name.rstrip(".").casefold()
    labels = {key: voice.label.casefold() for key, voice in chorus.voices.items()}
    alike = [key for key, label in labels.items() if start and label.startswith(start)]
    return (alike[0],) if len(alike) == 1 else None


def by_part(lines: Sequence[AssignedLine]) -> Mapping[str, list[AssignedLine]]:
    """The lines of each part, by the part's id."""
    grouped: dict[str, list[AssignedLine]] = {}
    for line in lines:
        grouped.setdefault(line.part, []).append(line)
    return grouped
