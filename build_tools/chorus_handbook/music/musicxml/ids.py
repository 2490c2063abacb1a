"""Prepares the file for the engraver: its notes get the ids of the score's notes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from chorus_handbook.music.score import Note, Part, Rest, Score, ScoreFile
from chorus_handbook.music.written import WrittenVoice
from chorus_handbook.pitch import Pitch

if TYPE_CHECKING:
    from lxml.etree import _Element


def with_file(
    score: Score,
    root: _Element,
    tonic: Pitch,
    notes: Mapping[str, _Element],
    voices: Sequence[WrittenVoice],
    singers: Mapping[str, tuple[tuple[str, ...], ...]],
) -> Score:
    """The score together with the file that it was read from. This changes the ids in `root`: those
    it had are removed, and each of `notes`, its note elements by written id (`WrittenNote.id`),
    gets the id of the note in the score that is sung for it. `singers`: who sings the lines of each
    part, by the part's id."""
    for element in root.iterfind("part//*[@id]"):
        del element.attrib["id"]
    names = _first_ids(score)
    for written_id, name in {**names, **_tied_ids(voices, names)}.items():
        notes[written_id].set("id", name)
    from lxml import etree  # late: only handbooks with score files need it

    xml = etree.tostring(root, encoding="unicode")
    return replace(
        score,
        parts=tuple(_with_drawn_ids(part, names) for part in score.parts),
        file=ScoreFile(xml, tonic, tuple(singers.items())),
    )


def _first_ids(score: Score) -> dict[str, str]:
    """By written id, the id of the first note in the score that is sung for that written note."""
    names: dict[str, str] = {}
    for part in score.parts:
        for note in part.notes:
            if note.drawn:
                names.setdefault(note.drawn, note.id)
    return names


def _tied_ids(voices: Sequence[WrittenVoice], names: Mapping[str, str]) -> dict[str, str]:
    """By written id, the ids of notes that are tied to one before: the id of the first, with "-2",
    "-3" ... added."""
    taken = set(names.values())
    found: dict[str, str] = {}
    for written in voices:
        first, count = "", 1
        for tone in written.tones:
            if not tone.tied:
                first, count = names.get(tone.id, ""), 1
                continue
            count += 1
            if first and tone.id and tone.id not in names and tone.id not in found:
                name = f"{first}-{count}"
                while name in taken:
                    name += "-tied"
                found[tone.id] = name
    return found


def _with_drawn_ids(part: Part, names: Mapping[str, str]) -> Part:
    """The part with each note's `drawn` changed from the written id to the id that the note has in
    the drawing; None where that equals the note's own id."""
    return replace(part, events=tuple(_with_drawn_id(event, names) for event in part.events))


def _with_drawn_id(event: Note | Rest, names: Mapping[str, str]) -> Note | Rest:
    if isinstance(event, Rest) or not event.drawn:
        return event
    name = names[event.drawn]
    return replace(event, drawn=None if name == event.id else name)
