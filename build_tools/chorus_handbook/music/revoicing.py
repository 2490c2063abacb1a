"""Gives music that was written for one chorus to the voices of another.

"Theirs" is the chorus that the music was written for, "ours" the chorus that will sing it. A
`Revoicing` says which of our voices sings what each of their voices sang. The module `revoice` of
each notation follows it: it replaces the names of voices in a text and moves lines by octaves.
Everything else stays as its author wrote it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import ALL, called


@dataclass(frozen=True, slots=True)
class Revoicing:
    """Says which voice of our chorus sings which line of another chorus's music.

    theirs, ours: the other chorus, and our chorus.
    voices: maps each voice of the other chorus to our voice that sings its line.
    octaves: maps voices of the other chorus to the number of octaves by which a line is moved up.
        Lines of voices that are missing here are not moved.
    """

    theirs: Chorus
    ours: Chorus
    voices: Mapping[str, str]
    octaves: Mapping[str, int] = field(default_factory=dict)

    def ours_of(self, name: str) -> tuple[str, ...] | None:
        """Which of our voices sing what `name` sang. `name` is the name or label of a voice or
        group of the other chorus, or several of these joined with +. None for names that every
        chorus has ("all", "others", "leader"), and for what is not a name."""
        singers = self.theirs_of(name)
        return singers and self.ours.in_order(self.voices[voice] for voice in singers)

    def theirs_of(self, name: str) -> tuple[str, ...] | None:
        """Which voices of the other chorus `name` means: the name or label of a voice or group, or
        several of these joined with +. None for names that every chorus has ("all", "others",
        "leader"), and for what is not a name."""
        singers = called(name, self.theirs, ())
        if singers is None or LEADER in singers or name.strip().casefold() == ALL:
            return None
        return singers

    def renamed(self, name: str) -> str:
        """What to write in place of a name: our voice that sings its line; if there are several,
        our group of these voices, or else their names joined with +. A name that the
        other chorus does not have stays as it is."""
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
        """By how many octaves to move a line that these voices of the other chorus sing. The first
        of them decides, because it sings the line as it is written."""
        return self.octaves.get(next(iter(voices)), 0)
