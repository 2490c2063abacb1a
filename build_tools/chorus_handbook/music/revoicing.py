"""How music that was written for one chorus is given to the voices of another.

Each notation has a module `revoice`, which replaces the names of voices in the notation and moves
lines by octaves, as a `Revoicing` says. Everything else stays as its author wrote it. "Theirs" is
the chorus that the music was written for, "ours" the one that gets it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import ALL, called


@dataclass(frozen=True, slots=True)
class Revoicing:
    """Which voice of `ours` sings what a voice of `theirs` sang (`voices`), and by how many octaves
    the line of each of their voices is moved for it (`octaves`; a voice that is not in it keeps its
    octave)."""

    theirs: Chorus
    ours: Chorus
    voices: Mapping[str, str]
    octaves: Mapping[str, int] = field(default_factory=dict)

    def ours_of(self, name: str) -> tuple[str, ...] | None:
        """The voices of ours for a name or label of a voice or group of theirs, or for several
        joined with +. None for what has the same name in every chorus ("all", "others", "leader")
        and for what is no name at all."""
        singers = self.theirs_of(name)
        return singers and self.ours.in_order(self.voices[voice] for voice in singers)

    def theirs_of(self, name: str) -> tuple[str, ...] | None:
        """The voices of theirs with this name, as `ours_of` takes it."""
        singers = called(name, self.theirs, ())
        if singers is None or LEADER in singers or name.strip().casefold() == ALL:
            return None
        return singers

    def renamed(self, name: str) -> str:
        """What is written in place of a name: a voice, a group of ours with these voices, or voices
        joined with +. A name that is no voice of theirs stays."""
        voices = self.ours_of(name)
        if voices is None:
            return name
        if len(voices) == 1:
            return voices[0]
        if "+" not in name:
            groups = [group for group in self.ours.groups if self.ours.named(group) == voices]
            if groups:
                return name if name in groups else groups[0]
            if voices == tuple(self.ours.voices):
                return ALL
        return "+".join(voices)

    def octaves_of(self, voices: Iterable[str]) -> int:
        """By how many octaves a line moves that several of their voices sing: the first of them
        sings it as it is written."""
        return self.octaves.get(next(iter(voices)), 0)
