"""Finds who sings a line of music by the name that the notation gives it: a voice or group of the
chorus, "all", or the leader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER

ALL = "all"
#: The most characters of a name that are read; no name is so long.
_LONGEST_NAME = 400
#: Other words for everyone and for the leader. They are not accepted, but a message suggests the
#: right word for them.
_ALSO_CALLED = {
    **dict.fromkeys("everyone everybody tutti unison together chorus choir".split(), ALL),
    **dict.fromkeys(("solo", "director", "conductor", "cantor", "teacher"), LEADER),
}


@dataclass(frozen=True, slots=True)
class Singers:
    """The voices that sing a line, in score order.

    octave: the octave of the first voice, who sings the line as it is written. The other voices
        sing it in their own octaves, unless they are `joined`.
    joined: whether the author joined the voices with +, so that all sing in the same octave.
    """

    voices: tuple[str, ...] = ()
    octave: int = 0
    joined: bool = False

    def octave_of(self, voice: str, chorus: Chorus) -> int:
        """The octave in which `voice`, one of these voices, sings the line. Common practice is that
        each sings in its own."""
        if self.joined or voice not in chorus.voices:
            return self.octave
        return chorus.voices[voice].octave


def called(text: str, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    """The voices that `text` names: a name, or several joined with +. `voices` are the voices of
    the exercise, which "all" stands for (if empty, all voices of the chorus). None when a name is
    unknown."""
    names = [" ".join(name.split()).casefold() for name in text[:_LONGEST_NAME].split("+")]
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
    """The name that was probably meant by the unknown `name`. For a single letter that is the first
    voice that begins with it, otherwise "all" or the leader. Empty without a guess."""
    plain = name.strip().lower()
    if len(plain) == 1:
        return next((voice for voice in chorus.voices if voice.startswith(plain)), "")
    return _ALSO_CALLED.get(plain, "")


def first_octave(voices: Sequence[str], chorus: Chorus) -> int:
    """The octave of the first of these voices, who sings a line that they share as it is
    written."""
    first = voices[0]
    return chorus.leader.octave if first == LEADER else chorus.voices[first].octave


def _one(name: str, chorus: Chorus) -> tuple[str, ...]:
    """The voices that one name means, in small letters: the name of a voice or group in chorus.yml,
    or the label that is printed before the staff of a voice."""
    singers = chorus.named(name.replace(" ", "-")) if name != ALL else None
    if singers is None:
        labels = {voice.label.casefold(): key for key, voice in chorus.voices.items()}
        singers = (labels[name],) if name in labels else ()
    return singers
