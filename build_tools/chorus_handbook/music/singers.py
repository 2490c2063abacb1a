"""Finds the singers of a voice by its name: voices and groups of the chorus, "all", the leader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER

ALL = "all"

#: Other words for everyone and for the leader. They are not accepted, but a message suggests the
#: right word for them.
_ALSO_CALLED = {
    **dict.fromkeys("everyone everybody tutti unison together chorus choir".split(), ALL),
    **dict.fromkeys(("solo", "director", "conductor", "cantor", "teacher"), LEADER),
}


@dataclass(frozen=True, slots=True)
class Singers:
    """The voices that sing a line, in score order. The first sings what is written, in the octave
    `octave`; the others sing in their own octaves, unless they are `joined` as A+B: then all sing
    exactly the same notes."""

    voices: tuple[str, ...] = ()
    octave: int = 0
    joined: bool = False

    def octave_of(self, voice: str, chorus: Chorus) -> int:
        """The octave in which one of the voices sings the line (common practice: in its own)."""
        if self.joined or voice not in chorus.voices:
            return self.octave
        return chorus.voices[voice].octave


def called(text: str, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    """The voices with a name, or names joined with +. `voices` are those of the exercise, which
    "all" stands for. None when a name is unknown."""
    names = [" ".join(name.split()).casefold() for name in text[:400].split("+")]
    if names == [ALL]:
        return voices or tuple(chorus.voices)
    if names in ([LEADER], [chorus.label_of(LEADER).casefold()]):
        return (LEADER,)
    found: list[str] = []
    for name in names:
        singers = _one(name, chorus)
        if not singers:
            return None
        found += singers
    return tuple(dict.fromkeys(found))


def guess(name: str, chorus: Chorus) -> str:
    """The name that was probably meant by an unknown one: "all", the leader, or the first voice
    with this initial; else ""."""
    plain = name.strip().lower()
    if len(plain) == 1:
        return next((voice for voice in chorus.voices if voice.startswith(plain)), "")
    return _ALSO_CALLED.get(plain, "")


def first_octave(voices: Sequence[str], chorus: Chorus) -> int:
    """The octave of the first of these voices, who sings a line as it is written."""
    first = voices[0]
    return chorus.leader.octave if first == LEADER else chorus.voices[first].octave


def _one(name: str, chorus: Chorus) -> tuple[str, ...]:
    """The voices with one name: a name in chorus.yml, or a label that is printed before a staff."""
    singers = chorus.named(name.replace(" ", "-")) if name != ALL else None
    if singers is None:
        labels = {voice.label.casefold(): key for key, voice in chorus.voices.items()}
        singers = (labels[name],) if name in labels else ()
    return singers
