"""Who of the chorus sings the voices of a tune or the parts of a file, by their names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER

ALL = "all"

#: What choruses call everyone, or who leads, in place of the words that are read.
_ALSO_CALLED = {
    **dict.fromkeys("everyone everybody tutti unison together chorus choir".split(), ALL),
    **dict.fromkeys(("solo", "director", "conductor", "cantor", "teacher"), LEADER),
}


@dataclass(frozen=True, slots=True)
class Singers:
    """Who sings a voice, in the chorus's order. `octave` is that of the part of the first, who
    sings what is written; the others sing in octaves of their own, but not where they are
    `joined`, written as A+B: there everyone sings the same notes."""

    voices: tuple[str, ...] = ()
    octave: int = 0
    joined: bool = False

    def octave_of(self, voice: str, chorus: Chorus) -> int:
        """The octave of one voice's part: a line for a whole chorus is sung in octaves (common
        practice), as a line of `degrees` is."""
        if self.joined or voice not in chorus.voices:
            return self.octave
        return chorus.voices[voice].octave


def called(text: str, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    """The singers behind a name, or names joined with +; `voices` are those of the exercise. None:
    nobody is called so."""
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
    """Who is probably meant by a name that nobody has: everyone, the leader, or the first voice
    with this initial; else an empty text."""
    plain = name.strip().lower()
    if len(plain) == 1:
        return next((voice for voice in chorus.voices if voice.startswith(plain)), "")
    return _ALSO_CALLED.get(plain, "")


def first_octave(voices: Sequence[str], chorus: Chorus) -> int:
    """The octave of who sings a line as it is written: the first in the chorus's order."""
    first = voices[0]
    return chorus.leader.octave if first == LEADER else chorus.voices[first].octave


def _one(name: str, chorus: Chorus) -> tuple[str, ...]:
    """Whom a name means: as chorus.yml has it, or as it is printed before the staff."""
    singers = chorus.named(name.replace(" ", "-")) if name != ALL else None
    if singers is None:
        labels = {voice.label.casefold(): key for key, voice in chorus.voices.items()}
        singers = (labels[name],) if name in labels else ()
    return singers
