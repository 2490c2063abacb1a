"""Which voices share a staff, and the names before it.

A unison line has one staff for each clef: voices that sing the same line in the same octave share
a staff when their clefs agree, or when the author joined them as "A+B". Voices that only speak
need no clef, so all that speak the same line share one. The line of a round has one staff, in the
clef of the first voice that sings it.
"""

from __future__ import annotations

from dataclasses import dataclass

from chorus_handbook.catalogue import pgettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import LEADER, Part, Score, ScoreFile
from chorus_handbook.pitch import ClefName

#: More names than this before one staff are shortened.
_MOST_NAMES = 3


@dataclass(frozen=True, slots=True)
class Staff:
    """One staff. The first of `parts` is the one that is written; the others sing the same.

    `clef` is None for a line that is only spoken. `names` and `short` have one item a line of
    text: those of the first system, and those of narrow and later ones.
    """

    parts: tuple[Part, ...]
    clef: ClefName | None
    names: tuple[str, ...]
    short: str

    @property
    def part(self) -> Part:
        return self.parts[0]

    @property
    def leader(self) -> bool:
        return self.part.voice == LEADER


def staves(score: Score, chorus: Chorus) -> tuple[Staff, ...]:
    """The staves of a score, the leader's first, then in the chorus's order."""
    order = [LEADER, *chorus.voices]
    parts = sorted((p for p in score.parts if p.voice in order), key=lambda p: order.index(p.voice))
    if score.entries:
        return (_staff(tuple(parts), chorus),)
    shared: dict[object, list[Part]] = {}
    for part in parts:
        shared.setdefault(_staff_key(part, chorus), []).append(part)
    return tuple(_staff(tuple(members), chorus) for members in shared.values())


def label_of_all() -> str:
    """What stands before a staff from which the whole chorus sings."""
    return pgettext("voices", "All")


def short_names(chorus: Chorus) -> dict[str, str]:
    """The shortest beginnings of the labels that are still different: "S", "A", "T", "B". A number
    at the end of a label is kept: "Soprano 2" is "S2"."""
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
    return word[:length].rstrip()


def _number_apart(label: str) -> tuple[str, str]:
    word, _, number = label.rpartition(" ")
    return (word, number) if word and number.isdigit() else (label, "")


def _clef(part: Part, chorus: Chorus) -> ClefName:
    return chorus.leader.clef if part.voice == LEADER else chorus.voices[part.voice].clef


def _only_spoken(part: Part) -> bool:
    return bool(part.notes) and not part.sung


def _staff_key(part: Part, chorus: Chorus) -> object:
    """Equal for parts that share a staff."""
    if part.voice == LEADER:
        return LEADER
    shares = part.shares or (part.voice,)
    if _only_spoken(part):
        return shares
    return shares, part.octave, None if part.same_staff else _clef(part, chorus)


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


def _staff(parts: tuple[Part, ...], chorus: Chorus) -> Staff:
    clef = None if _only_spoken(parts[0]) else _clef(parts[0], chorus)
    voices = [part.voice for part in parts]
    if len(voices) > 1 and len(voices) == len(chorus.voices):
        return Staff(parts, clef, (label_of_all(),), label_of_all())
    short = ", ".join(short_names(chorus)[voice] for voice in voices)
    if voices == [LEADER]:
        return Staff(parts, clef, (chorus.label_of(LEADER),), short)
    labels = [chorus.voices[voice].label for voice in voices]
    if len(labels) > _MOST_NAMES:
        return Staff(parts, clef, (short,), short)
    ends = [","] * (len(labels) - 1) + [""]
    return Staff(parts, clef, tuple(n + e for n, e in zip(labels, ends, strict=True)), short)
