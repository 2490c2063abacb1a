"""Reads from a MusicXML file what is stated before or beside its notes: title, names of parts, key,
meter and tempo. `root` is always the root element of a partwise score."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from chorus_handbook.music.limits import MOST_BEATS, UNITS
from chorus_handbook.music.modes import MODE_NAMES, MODES
from chorus_handbook.music.musicxml.places import Places, line_of
from chorus_handbook.music.musicxml.transposing import Transposition, read_transposition
from chorus_handbook.music.score import FREE, Degree, Meter
from chorus_handbook.music.written import REFERENCE_OCTAVE, Key
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

if TYPE_CHECKING:
    from lxml.etree import _Element

#: The name of the mode in files that do not state one; it is taken to be major.
_NO_MODE = "none"
#: The most sharps or flats in a key signature.
_MOST_SIGNS = 7
#: A fifth, in steps of the scale.
_FIFTH = 4
#: The slowest and the fastest tempo that is believed, in beats a minute.
_SLOWEST, _FASTEST = 20, 300
#: Note values for which a tempo may be stated, in quarters.
_NOTE_VALUES = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
}


@dataclass(frozen=True, slots=True)
class Heading:
    """Key and meter at the start of a score. `named_mode` says whether the file names its mode."""

    key: Key
    meter: Meter
    named_mode: bool


def title(root: _Element) -> str:
    """The title of the score, in one line; empty when it has none."""
    for name in ("movement-title", "work/work-title"):
        text = " ".join((root.findtext(name) or "").split())
        if text:
            return text
    return ""


def part_names(root: _Element) -> dict[str, tuple[str, int]]:
    """Maps the id of each part to its printed name (which may have several lines) and the number of
    the line of the file that names it."""
    names = {}
    for part in root.iterfind("part-list/score-part"):
        lines = (part.findtext("part-name") or "").split("\n")
        name = "\n".join(" ".join(line.split()) for line in lines).strip()
        names[str(part.get("id"))] = name, line_of(part)
    return names


def read_heading(root: _Element, path: str) -> tuple[Heading, list[Problem]]:
    """Read the key and meter as they sound. They are taken from the first part that does not
    transpose, or else from the first part. Returns them and the problems."""
    problems: list[Problem] = []
    parts = [part.findall("measure/attributes") for part in root.iterfind("part")]
    untransposed = [p for p in parts if not any(a.find("transpose") is not None for a in p)]
    attributes = next(iter(untransposed or parts), [])
    key = next((key for a in attributes for key in a.iterfind("key")), None)
    # If a key signature in any bar is a free combination of sharps and flats, take that one, so
    # that it is reported: it cannot be transposed to other keys.
    key = next((k for k in root.iter("key") if k.find("fifths") is None), key)
    time = next((time for a in attributes for time in a.iterfind("time")), None)
    transpose = next((element for a in attributes for element in a.iterfind("transpose")), None)
    transposition = read_transposition(transpose) if transpose is not None else Transposition()
    places = Places(root, path)
    result, named = Key(), False
    if key is not None:
        key_or_message = _key(key, transposition)
        if isinstance(key_or_message, str):
            hint = (
                "In the notation editor, set the key signature of a major or minor key, and write "
                "other sharps and flats before the notes."
            )
            problems.append(Problem(places.of(key), "notation-header", key_or_message, hint))
        else:
            result, named = key_or_message, key.find("mode") is not None
    meter = read_meter(time) if time is not None else FREE
    if meter is None:
        meter = FREE
        problems.append(
            Problem(
                places.of(time) if time is not None else Place(path),
                "notation-header",
                "The handbook does not support this meter.",
                f"In the notation editor, set a meter of at most {MOST_BEATS} beats, each a half, "
                "quarter, eighth or sixteenth note.",
            )
        )
    return Heading(result, meter, named), problems


def _key(key: _Element, transposition: Transposition) -> Key | str:
    """The key that a key signature means, as it sounds; a message (text) if it is not
    supported."""
    fifths = key.findtext("fifths")
    if fifths is None:
        return (
            "This key signature is neither major nor minor, so the music cannot be moved to other "
            "keys."
        )
    named = (key.findtext("mode") or _NO_MODE).strip().lower()
    mode = "major" if named == _NO_MODE else MODE_NAMES.get(named)
    if mode is None:
        return f'The handbook does not support the mode "{named[:20]}".'
    number = int(fifths)
    if abs(number) > _MOST_SIGNS:
        return f"A key signature of {abs(number)} sharps or flats is not supported."
    # The major key with this signature; from its tonic, count up to the tonic of the mode.
    steps = _FIFTH * number % 7
    major = min(
        (Pitch(steps, alter, REFERENCE_OCTAVE) for alter in (-1, 0, 1)),
        key=lambda pitch: abs(pitch.fifths - number),
    )
    sounding = transposition.sounding(major)
    if abs(sounding.fifths) > _MOST_SIGNS:
        return (
            f"As it sounds in this transposing part, the key has more than {_MOST_SIGNS} sharps or "
            "flats."
        )
    tonic = Degree(MODES[mode].start).in_key(sounding, "major")
    return Key(Pitch(tonic.step, tonic.alter, REFERENCE_OCTAVE), mode)


def read_meter(time: _Element) -> Meter | None:
    """The meter of a time signature; None if it is not supported. Of a signature such as 3+2 over
    8, or 3/8 + 2/8, the beats are added up."""
    if time.find("senza-misura") is not None:  # the sign for free meter
        return FREE
    beats = [_sum(element.text or "") for element in time.iterfind("beats")]
    texts = [(element.text or "").strip() for element in time.iterfind("beat-type")]
    units = [int(text) if text.isdecimal() else 0 for text in texts]
    if not beats or len(beats) != len(units) or 0 in beats or not set(units) <= set(UNITS):
        return None
    unit = max(units)
    total = sum(b * unit // u for b, u in zip(beats, units, strict=True))
    return Meter(total, unit) if total <= MOST_BEATS else None


def _sum(text: str) -> int:
    """The sum of numbers that are joined by +, as in 3+2; 0 if the text is anything else."""
    numbers = text.replace(" ", "").split("+")
    if not all(re.fullmatch(r"[0-9]{1,3}", number) for number in numbers):
        return 0
    return sum(map(int, numbers))


def tempo(root: _Element, meter: Meter) -> int | None:
    """The first tempo that the score states, in beats of the meter a minute; None if it states
    none."""
    for element in root.iter("metronome", "sound"):
        if element.tag == "sound" and element.get("tempo"):
            quarters = Fraction(str(element.get("tempo")))
        else:
            value = _NOTE_VALUES.get(element.findtext("beat-unit", "").strip())
            minute = (element.findtext("per-minute") or "").strip()
            if value is None or not re.fullmatch(r"[0-9]{1,3}(\.[0-9]+)?", minute):
                continue
            dotted = Fraction(3, 2) if element.find("beat-unit-dot") is not None else 1
            quarters = Fraction(minute) * value * dotted
        beats = round(quarters / meter.beat)
        if _SLOWEST <= beats <= _FASTEST:
            return beats
    return None
