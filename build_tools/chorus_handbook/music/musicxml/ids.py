"""Prepares a MusicXML file for the engraver: gives its note elements the ids by which the player
and the checks find notes in the drawing.

A written note is one note element of the file. It is not always one note of the score: in a repeat,
and on a line that several voices share, it is sung as several notes; and several written notes that
are tied are sung as one. So there are three ids:

- the *written id*, under which the reader keeps a note element (`WrittenNote.id`);
- the id of a note of the score (`Note.id`);
- the *drawn id*, which the note element gets here. It is the id of the first note of the score that
  is sung for the element. An element that is tied to one before has the drawn id of the first of
  the tied ones, with "-2", "-3" and so on added.
"""

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
    elements: Mapping[str, _Element],
    voices: Sequence[WrittenVoice],
    singers: Mapping[str, tuple[tuple[str, ...], ...]],
) -> Score:
    """The score together with the file that it was read from.

    score: `drawn` of each note is the written id of the element it is sung from. In the result it
        is the drawn id of that element, or None if that is the note's own id.
    root: the root element of the file. It is changed: the author's ids are removed, and each note
        element that is sung gets its drawn id.
    tonic: the tonic of the written key.
    elements: the note elements by written id.
    voices: the voices that the score was made from.
    singers: by the id of each part, who sings each of its lines.
    """
    for element in root.iterfind("part//*[@id]"):
        del element.attrib["id"]
    first_ids = _first_ids(score)
    drawn_ids = {**first_ids, **_tied_ids(voices, first_ids)}
    for written_id, drawn_id in drawn_ids.items():
        elements[written_id].set("id", drawn_id)
    from lxml import etree  # late: only handbooks with score files need it

    xml = etree.tostring(root, encoding="unicode")
    return replace(
        score,
        parts=tuple(_with_drawn_ids(part, first_ids) for part in score.parts),
        file=ScoreFile(xml, tonic, tuple(singers.items())),
    )


def _first_ids(score: Score) -> dict[str, str]:
    """Maps the written id of each element to the id of the first note of the score that is sung for
    it."""
    ids: dict[str, str] = {}
    for part in score.parts:
        for note in part.notes:
            if note.drawn:
                ids.setdefault(note.drawn, note.id)
    return ids


def _tied_ids(voices: Sequence[WrittenVoice], first_ids: Mapping[str, str]) -> dict[str, str]:
    """Maps the written id of each element that is tied to one before to its drawn id. `first_ids`
    has the drawn ids of the other elements."""
    taken = set(first_ids.values())
    found: dict[str, str] = {}
    for written in voices:
        first, count = "", 1
        for note in written.notes:
            if not note.tied:
                first, count = first_ids.get(note.id, ""), 1
                continue
            count += 1
            if first and note.id and note.id not in first_ids and note.id not in found:
                drawn_id = f"{first}-{count}"
                while drawn_id in taken:
                    drawn_id += "-tied"
                found[note.id] = drawn_id
    return found


def _with_drawn_ids(part: Part, drawn_ids: Mapping[str, str]) -> Part:
    """The part with each note's `drawn` changed from the written id to the drawn id, or to None
    where that is the note's own id. `drawn_ids` has the drawn ids by written id."""
    return replace(part, events=tuple(_with_drawn_id(event, drawn_ids) for event in part.events))


def _with_drawn_id(event: Note | Rest, drawn_ids: Mapping[str, str]) -> Note | Rest:
    if isinstance(event, Rest) or not event.drawn:
        return event
    drawn_id = drawn_ids[event.drawn]
    return replace(event, drawn=None if drawn_id == event.id else drawn_id)
