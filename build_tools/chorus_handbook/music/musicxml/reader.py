"""Reads a MusicXML file into a `Score`, by calling the other modules of this package in turn.

The package's docstring says what each of them does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.ensemble import Block, Frame, put_together
from chorus_handbook.music.musicxml.bounds import out_of_bounds
from chorus_handbook.music.musicxml.container import locate, read_score
from chorus_handbook.music.musicxml.head import Heading, part_names, read_heading, read_meter
from chorus_handbook.music.musicxml.ids import with_file
from chorus_handbook.music.musicxml.layers import barlines, written
from chorus_handbook.music.musicxml.parse import ScoreFileError, parse_score
from chorus_handbook.music.musicxml.parts import NamedPart, assign_parts, by_part
from chorus_handbook.music.musicxml.places import Places, line_of
from chorus_handbook.music.musicxml.timewise import partwise
from chorus_handbook.music.musicxml.walk import LayerKey, Measure, Walk
from chorus_handbook.music.score import Score
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

if TYPE_CHECKING:
    from lxml.etree import _Element

_EXPORT = "Export the score again from the notation editor."


def read_musicxml(
    notation: Notation, chorus: Chorus, voices: Sequence[str], *, root: Path
) -> tuple[Score | None, list[Problem]]:
    """Read the score file that the notation names, in the handbook's folder `root`. `voices` are
    the voices of the exercise. Returns the score and no problems, or None and the problems."""
    try:
        data = read_score(locate(root, notation.text))
    except ScoreFileError as error:
        return None, [Problem(notation.place, error.code, error.message, error.hint)]
    return read_document(data, f"{root.name}/{notation.text}", chorus, voices)


def read_document(
    data: bytes, path: str, chorus: Chorus, voices: Sequence[str]
) -> tuple[Score | None, list[Problem]]:
    """Read the score in a MusicXML document; `path` is the path of its file in problems. Returns
    what `read_musicxml` does."""
    tree, errors = parse_score(data)
    if tree is None:
        return None, [
            Problem(error.place(path), error.code, error.message, error.hint) for error in errors
        ]
    root = partwise(tree.getroot())
    problems = out_of_bounds(root, path)
    if problems:
        return None, problems
    heading, problems = read_heading(root, path)
    reading = _read(root, path, problems)
    has_notes = any(measure.length for part in reading.parts.values() for measure in part)
    if not problems and not has_notes:
        problems.append(
            Problem(
                Place(path),
                "notation-line",
                "There are no notes in this score.",
                "Export the score again from the notation editor, with its notes.",
            )
        )
    if problems:
        return None, sorted(set(problems))
    return _make_score(root, path, reading, heading, chorus, voices)


@dataclass(frozen=True, slots=True)
class _Reading:
    """What was read from a file: the measures of each part by the part's id, and the note elements
    by `WrittenNote.id`."""

    parts: Mapping[str, list[Measure]]
    notes: dict[str, _Element]


def _read(root: _Element, path: str, problems: list[Problem]) -> _Reading:
    """Read the measures of all parts. Problems are added to the list `problems`."""
    parts: dict[str, list[Measure]] = {}
    notes: dict[str, _Element] = {}
    places = Places(root, path)
    for part in root.iterfind("part"):
        walk = Walk(places, notes, problems)
        measures = part.findall("measure")
        parts[str(part.get("id"))] = [walk.measure(m, n) for n, m in enumerate(measures)]
    counts = {len(measures) for measures in parts.values()}
    if len(counts) > 1:
        problems.append(
            Problem(
                Place(path),
                "voice-length",
                "The parts of this score do not have the same number of bars: "
                f"some have {min(counts)}, others {max(counts)}.",
                _EXPORT,
            )
        )
    return _Reading(parts, notes)


def _make_score(
    root: _Element,
    path: str,
    reading: _Reading,
    heading: Heading,
    chorus: Chorus,
    voices: Sequence[str],
) -> tuple[Score | None, list[Problem]]:
    """Make the score of what was read: find the singers of each line, and put the lines together.
    The note elements in `root` get the ids of the score's notes."""
    named, problems = _named(root, path, reading)
    lines, found = assign_parts(named, chorus, voices)
    problems += found
    lengths, found = _lengths(root, path, reading)
    problems += found
    edges = barlines(list(reading.parts.values()))
    places = {part.id: part.place for part in named}
    written_voices = [
        written(
            places[line.part],
            line.voice,
            reading.parts[line.part],
            lengths,
            edges,
            reading.notes,
            problems,
        )
        for line in lines
    ]
    if problems:
        return None, sorted(set(problems))
    frame = Frame(heading.key, heading.meter, bars_as_drawn=True)
    block = Block([(ln.singers, voice) for ln, voice in zip(lines, written_voices, strict=True)])
    score, problems = put_together([block], frame, chorus)
    if score is None:
        return None, sorted(set(problems))
    singers = {
        part: tuple(line.singers.voices for line in own) for part, own in by_part(lines).items()
    }
    tonic = heading.key.tonic
    return with_file(score, root, tonic, reading.notes, written_voices, singers), []


def _named(root: _Element, path: str, reading: _Reading) -> tuple[list[NamedPart], list[Problem]]:
    """The parts with their names, and a problem for each part that is not in the file's list of
    parts."""
    names = part_names(root)
    named, problems = [], []
    for element in root.iterfind("part"):
        part = str(element.get("id"))
        if part in names:
            name, line = names[part]
            named.append(NamedPart(part, name, Place(path, line), _layers(reading.parts[part])))
        else:
            message = (
                f"The part {shown(part)} is not in the file's list of parts (part-list), so it has "
                "no name."
            )
            place = Place(path, line_of(element))
            problems.append(Problem(place, "notation-voice", message, _EXPORT))
    return named, problems


def _layers(measures: Sequence[Measure]) -> tuple[LayerKey, ...]:
    """The layers (lines of music) of a part that have notes, from the top; if none has, only the
    first one."""
    keys = sorted({key for m in measures for key in m.layers}, key=_layer_order)
    sounding = tuple(
        key
        for key in keys
        if any(not t.note.silent for m in measures if key in m.layers for t in m.layers[key].timed)
    )
    return sounding or tuple(keys[:1])


def _layer_order(key: LayerKey) -> tuple[int, int, str]:
    """A key that sorts layers by their staff, then by the number of their voice in the file."""
    staff, voice = key
    return staff, int(voice) if voice.isdecimal() and len(voice) < 9 else 0, voice


def _lengths(root: _Element, path: str, reading: _Reading) -> tuple[list[Fraction], list[Problem]]:
    """The length of each bar in quarters (that of the longest part), and a problem for each bar
    that is longer than its meter."""
    lengths = [
        max(measure.length for measure in bar) for bar in zip(*reading.parts.values(), strict=True)
    ]
    problems = []
    meter = None
    places = Places(root, path)
    first_part = root.find("part")
    measures = first_part.findall("measure") if first_part is not None else []
    for measure, length in zip(measures, lengths, strict=True):
        for time in measure.iterfind("attributes/time"):
            meter = read_meter(time)
        if meter and not meter.free and length > meter.bar:
            problems.append(
                Problem(
                    places.of(measure),
                    "bar-length",
                    f"This bar lasts {float(length):g} quarters, but a bar of {meter} lasts "
                    f"{float(meter.bar):g}.",
                    "Check its note values in the notation editor.",
                )
            )
    return lengths, problems
