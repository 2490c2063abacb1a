"""Reads from a score file what comes before its notes: title, names of parts, key, meter and
tempo."""

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
#: Note values in quarters.
_NOTE_VALUES = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
}


@dataclass(frozen=True, slots=True)
class Heading:
    """Key and meter at the start. `named_mode`: the file says which mode it is in."""

    key: Key
    meter: Meter
    named_mode: bool


def title(root: _Element) -> str:
    """What the score is called, in one line; empty when it has no title."""
    for name in ("movement-title", "work/work-title"):
        text = " ".join((root.findtext(name) or "").split())
        if text:
            return text
    return ""


def part_names(root: _Element) -> dict[str, tuple[str, int]]:
    """The printed name of every part and the line on which it stands, by the part's id."""
    names = {}
    for part in root.iterfind("part-list/score-part"):
        lines = (part.findtext("part-name") or "").split("\n")
        name = "\n".join(" ".join(line.split()) for line in lines).strip()
        names[str(part.get("id"))] = name, line_of(part)
    return names


def read_heading(root: _Element, path: str) -> tuple[Heading, list[Problem]]:
    """Key and meter of a partwise score, as they sound. They are taken from a part that does not
    transpose, if there is one."""
    problems: list[Problem] = []
    parts = [part.findall("measure/attributes") for part in root.iterfind("part")]
    plain = [p for p in parts if not any(a.find("transpose") is not None for a in p)]
    attributes = (plain or parts or [[]])[0]
    key = next((key for a in attributes for key in a.iterfind("key")), None)
    # If any bar has a free combination of sharps and flats, take that one, so that it is reported:
    # it cannot be transposed to other keys.
    key = next((k for k in root.iter("key") if k.find("fifths") is None), key)
    time = next((time for a in attributes for time in a.iterfind("time")), None)
    moved = next((moved for a in attributes for moved in a.iterfind("transpose")), None)
    places = Places(root, path)
    read, named = Key(), False
    if key is not None:
        found = _key(key, read_transposition(moved) if moved is not None else Transposition())
        if isinstance(found, str):
            place = places.of(key)
            hint = "Set a usual key signature in the notation editor, with accidentals at notes."
            problems.append(Problem(place, "notation-header", found, hint))
        else:
            read, named = found, key.find("mode") is not None
    meter = read_meter(time) if time is not None else FREE
    if meter is None:
        meter = FREE
        problems.append(
            Problem(
                places.of(time) if time is not None else Place(path),
                "notation-header",
                "The handbook does not support this meter.",
                f"Use at most {MOST_BEATS} beats, each a half, quarter, eighth or sixteenth note.",
            )
        )
    return Heading(read, meter, named), problems


def _key(key: _Element, moved: Transposition) -> Key | str:
    """The tonic and mode of a signature as they sound, or a message if it is not supported."""
    fifths = key.findtext("fifths")
    if fifths is None:
        return "This key signature is neither major nor minor, so it has no tonic to move."
    named = (key.findtext("mode") or _NO_MODE).strip().lower()
    mode = "major" if named == _NO_MODE else MODE_NAMES.get(named)
    if mode is None:
        return (
            f"The handbook does not support the mode {(key.findtext('mode') or '').strip()[:20]}."
        )
    number = int(fifths)
    if abs(number) > _MOST_SIGNS:
        return f"A key signature of {abs(number)} sharps or flats is not supported."
    # From the major key of this signature to the mode's own tonic.
    steps = _FIFTH * number % 7
    major = min(
        (Pitch(steps, alter, REFERENCE_OCTAVE) for alter in (-1, 0, 1)),
        key=lambda pitch: abs(pitch.fifths - number),
    )
    start = MODES[mode].start
    sounding = moved.sounding(major)
    if abs(sounding.fifths) > _MOST_SIGNS:
        return "With what it is transposed by, this key has more than seven signs."
    tonic = Degree(start).in_key(sounding, "major")
    return Key(Pitch(tonic.step, tonic.alter, REFERENCE_OCTAVE), mode)


def read_meter(time: _Element) -> Meter | None:
    """The meter of a time signature (in 3+2, the numbers are added); None if it is not
    supported."""
    if time.find("senza-misura") is not None:
        return FREE
    beats = [_sum(b.text or "") for b in time.iterfind("beats")]
    units = [int(u.text or "0") if (u.text or "").strip().isdecimal() else 0
             for u in time.iterfind("beat-type")]  # fmt: skip
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
    """The first tempo that the score states, in beats of the meter a minute."""
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
        if 20 <= beats <= 300:
            return beats
    return None
