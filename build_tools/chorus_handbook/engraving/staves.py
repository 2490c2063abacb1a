"""Decides which voices share a staff, its clef, and the names before it.

All voices that sing the same line share one staff, in whatever octaves; so do all voices of a
round. The staff is written for the first of them that reads the requested clef: treble, or bass for
readers whose voice reads that. `describe.legend` says in words who sings an octave lower or
higher. A line that is only spoken has no clef.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from chorus_handbook.catalogue import pgettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER, Part, Score, ScoreFile
from chorus_handbook.pitch import ClefName

#: More names than this before one staff are shortened.
_MOST_NAMES = 3


@dataclass(frozen=True, slots=True)
class Staff:
    """One staff.

    parts: the parts that sing its line, perhaps in different octaves, in score order.
    part: the part that is drawn: the first of `parts`, written in the octave of the first voice
        that reads the clef.
    clef: None for a line that is only spoken.
    names: the lines of text before the first system.
    short: the text before the first system of a narrow drawing, and before all later systems.
    """

    parts: tuple[Part, ...]
    part: Part
    clef: ClefName | None
    names: tuple[str, ...]
    short: str

    @property
    def leader(self) -> bool:
        return self.part.voice == LEADER


def staves(score: Score, chorus: Chorus, clef: ClefName = "treble") -> tuple[Staff, ...]:
    """The staves of a score, the leader's first, then in the chorus's order."""
    order = [LEADER, *chorus.voices]
    parts = sorted((p for p in score.parts if p.voice in order), key=lambda p: order.index(p.voice))
    shared: dict[object, list[Part]] = {}
    for part in parts:
        # Parts that sing one line have the same `shares`, the voices that sing it.
        line = LEADER if part.voice == LEADER else part.shares or (part.voice,)
        shared.setdefault(line, []).append(part)
    return tuple(_staff(tuple(members), chorus, clef) for members in shared.values())


def bass_readers(score: Score, chorus: Chorus) -> tuple[str, ...]:
    """The voices that read a bass clef but share a staff that is written in another clef."""
    if score.file:
        return ()
    return tuple(
        part.voice
        for staff in staves(score, chorus)
        for part in staff.parts
        if staff.clef not in (None, "bass") and _clef(part, chorus) == "bass"
    )


def label_of_all() -> str:
    """What stands before a staff from which the whole chorus sings."""
    return pgettext("voices", "All")


def short_names(chorus: Chorus) -> dict[str, str]:
    """The shortest beginning of each voice's label that no other label has: "S", "A", "T", "B". A
    number at the end of a label is kept: "Soprano 2" is "S2"."""
    labels = {voice: chorus.voices[voice].label for voice in chorus.voices}
    labels[LEADER] = chorus.label_of(LEADER)
    split = {voice: _number_apart(label) for voice, label in labels.items()}
    short = {}
    for voice, (word, number) in split.items():
        others = {w for w, n in split.values() if w != word and n == number}
        length = 1
        while length < len(word) and any(_start(o, length) == _start(word, length) for o in others):
            length += 1
        short[voice] = _start(word, length) + number
    return short


def _start(word: str, length: int) -> str:
    """The first `length` letters of a word, without a space at the end."""
    return word[:length].rstrip()


def _number_apart(label: str) -> tuple[str, str]:
    """A label without the number at its end, and that number: "Soprano 2" is "Soprano" and "2"."""
    word, _, number = label.rpartition(" ")
    return (word, number) if word and number.isdigit() else (label, "")


def _clef(part: Part, chorus: Chorus) -> ClefName:
    return chorus.leader.clef if part.voice == LEADER else chorus.voices[part.voice].clef


def _only_spoken(part: Part) -> bool:
    return bool(part.notes) and not part.sung


def part_labels(file: ScoreFile, chorus: Chorus) -> tuple[tuple[str, str, str], ...]:
    """The names of a file's parts in the chorus's own words: id, full name and short name of
    each."""
    return tuple(_part_label(part, lines, chorus) for part, lines in file.singers)


def _part_label(
    part: str, lines: tuple[tuple[str, ...], ...], chorus: Chorus
) -> tuple[str, str, str]:
    voices = [voice for line in lines for voice in line]
    if len(lines) == 1 and len(voices) == len(chorus.voices) > 1:
        return part, label_of_all(), label_of_all()
    short = ", ".join(short_names(chorus)[voice] for voice in voices)
    if len(voices) > _MOST_NAMES:
        return part, short, short
    return part, ", ".join(chorus.label_of(voice) for voice in voices), short


def _staff(parts: tuple[Part, ...], chorus: Chorus, clef: ClefName) -> Staff:
    clefs = (clef, "treble")
    reader = next((p for c in clefs for p in parts if _clef(p, chorus) == c), parts[0])
    part = replace(parts[0], octave=reader.octave)  # its ids are the same in every clef
    names, short = _names_before(parts, chorus)
    return Staff(parts, part, None if _only_spoken(part) else _clef(reader, chorus), names, short)


def _names_before(parts: Sequence[Part], chorus: Chorus) -> tuple[tuple[str, ...], str]:
    """The names before the first system, one a line, and before later ones."""
    voices = [part.voice for part in parts]
    if len(voices) > 1 and len(voices) == len(chorus.voices):
        return (label_of_all(),), label_of_all()
    short = ", ".join(short_names(chorus)[voice] for voice in voices)
    if len(voices) > _MOST_NAMES:
        return (short,), short
    labels = [chorus.label_of(voice) for voice in voices]
    return (*(f"{label}," for label in labels[:-1]), labels[-1]), short
