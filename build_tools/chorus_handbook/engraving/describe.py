"""A drawing in words, for those who hear the page: a title, and what each staff sings.

Unison lines are told once; long ones are cut short, because whoever needs every note has the
sound.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.staves import staves
from chorus_handbook.music.phrases import words_of
from chorus_handbook.music.score import LEADER, Note, Part, Score
from chorus_handbook.pitch import LETTERS, Pitch

_MOST_NOTES, _MOST_WORDS, _MOST_STAVES = 16, 8, 6
_ALTERATIONS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}
_MODES = {
    "major": "major",
    "minor": "minor",
    "dorian": "Dorian",
    "phrygian": "Phrygian",
    "lydian": "Lydian",
    "mixolydian": "Mixolydian",
}
_OCTAVES = {
    -3: "three octaves lower",
    -2: "two octaves lower",
    -1: "an octave lower",
    1: "an octave higher",
    2: "two octaves higher",
    3: "three octaves higher",
}


def describe(title: str, score: Score, chorus: Chorus, tonic: Pitch) -> tuple[str, str]:
    """The title and the description of a drawing: "Slack water in C major, 4/4" and
    "Soprano, Alto: C4 D4 E4 D4 C4 on “brr”. Tenor: as Soprano, Alto, an octave lower."."""
    meter = "free meter" if score.meter.free else str(score.meter)
    key = f"{LETTERS[tonic.step]}{_ALTERATIONS[tonic.alter]} {_MODES[score.mode]}"
    only_spoken = not any(part.sung for part in score.parts)
    head = f"{title}, {meter}" if only_spoken else f"{title} in {key}, {meter}"
    told: dict[tuple[str, ...], tuple[str, int]] = {}
    lines = []
    for parts in _groups(score, chorus):
        part, names = parts[0], _names(parts, chorus)
        if part.voice != LEADER and part.shares in told:
            first, octave = told[part.shares]
            lines.append(f"{names}: as {first}, {_distance(part.octave - octave)}.")
            continue
        told[part.shares] = names, part.octave
        lines.append(f"{names}: {_melody(part, score.mode, tonic)}.")
    if len(lines) > _MOST_STAVES:
        lines[_MOST_STAVES:] = [f"And {len(lines) - _MOST_STAVES} more lines."]
    return head, " ".join(lines)


def _groups(score: Score, chorus: Chorus) -> list[list[Part]]:
    """Parts that sing the same in the same octave, whatever their clefs."""
    groups: dict[object, list[Part]] = {}
    for staff in staves(score, chorus):
        key = LEADER if staff.leader else (staff.part.shares, staff.part.octave)
        groups.setdefault(key, []).extend(staff.parts)
    return list(groups.values())


def _names(parts: Sequence[Part], chorus: Chorus) -> str:
    if parts[0].voice == LEADER:
        return chorus.leader.label
    if len(parts) > 1 and len(parts) == len(chorus.voices):
        return "All"
    return ", ".join(chorus.voices[part.voice].label for part in parts)


def _distance(octaves: int) -> str:
    return _OCTAVES.get(octaves, f"{abs(octaves)} octaves {'lower' if octaves < 0 else 'higher'}")


def _melody(part: Part, mode: str, tonic: Pitch) -> str:
    if not part.notes:
        return "silent"
    words = _words(part.notes)
    if not part.sung:
        beats = f"{len(part.notes)} spoken beats"
        return f"{beats} on {words}" if words else beats
    sounds = [_sound(note, part.octave, mode, tonic) for note in part.notes]
    text = " ".join(sounds[:_MOST_NOTES])
    if len(sounds) > _MOST_NOTES:
        text += f" and {len(sounds) - _MOST_NOTES} more notes"
    return f"{text} on {words}" if words else text


def _sound(note: Note, octave: int, mode: str, tonic: Pitch) -> str:
    """A note's name with real signs for sharp and flat, or "spoken"; "(G4 with E4 and C4)" where
    the voice divides."""
    if note.degree is None:
        return "spoken"
    names = []
    for degree in (note.degree, *note.below):
        pitch = degree.in_key(tonic, mode)
        sign = "♯" * pitch.alter if pitch.alter > 0 else "♭" * -pitch.alter
        names.append(f"{LETTERS[pitch.step]}{sign}{pitch.octave + octave}")
    below = " and ".join(filter(None, [", ".join(names[1:-1]), *names[1:][-1:]]))
    return f"({names[0]} with {below})" if below else names[0]


def _words(notes: Sequence[Note]) -> str:
    """The words of every verse, in quotation marks."""
    verses = max((len(note.syllables) for note in notes), default=0)
    lines = [list(islice(words_of(notes, verse), _MOST_WORDS + 1)) for verse in range(verses)]
    told = []
    for line in lines:
        if line:
            more = " …" if len(line) > _MOST_WORDS else ""
            told.append(f"“{' '.join(line[:_MOST_WORDS])}{more}”")
    return ", ".join(told)
