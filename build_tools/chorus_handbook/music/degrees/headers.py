"""Reads the header of a text in `degrees` notation: the lines above the music that state its meter,
pickup and mode, and the octaves of single voices."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.degrees.lines import NamedLine
from chorus_handbook.music.limits import MOST_BEATS, UNITS
from chorus_handbook.music.modes import MODE_NAMES, MODES, ModeName
from chorus_handbook.music.score import FREE, LEADER, Meter
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes

COMMON = Meter(4, 4)
#: How many octaves a voice may be moved from the tonic in `keys`.
MOST_OCTAVES = 3

_METER = re.compile(r"([0-9]{1,3})\s*/\s*([0-9]{1,3})")
#: A voice and its octave, such as "bass -1".
_OCTAVE = re.compile(r"(\S+)\s+([+-]?[0-9])")


@dataclass(frozen=True, slots=True)
class Header:
    """What the header states, or the defaults where it states nothing.

    pickup: the length of an incomplete first bar, in quarters; 0 without one.
    octaves: maps a voice to the octave of its degree 1, only where an `octave:` line states it;
        all other voices have their octave in chorus.yml. 0 is the octave of the tonic in `keys`.
    """

    meter: Meter = COMMON
    pickup: Fraction = Fraction(0)
    mode: ModeName = "major"
    octaves: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))


class _HeaderError(Exception):
    """A header line cannot be read; `message` and `hint` are for the author."""

    def __init__(self, message: str, hint: str, code: str = "notation-header") -> None:
        super().__init__(message)
        self.message, self.hint, self.code = message, hint, code


def read_header(lines: Iterable[NamedLine], chorus: Chorus) -> tuple[Header, list[Problem]]:
    """Read the lines of the header. Returns its values and the problems; for a line that cannot be
    read, the default is used."""
    header, problems = Header(), []
    seen: dict[str, Place] = {}
    # The pickup is counted in beats, so the meter has to be known first.
    for line in sorted(lines, key=lambda line: line.name == "pickup"):
        try:
            if line.name in seen and line.name != "octave":
                raise _HeaderError(
                    f'"{line.name}:" is given twice; the first is on line {seen[line.name].line}.',
                    "Delete one of the two lines.",
                )
            seen.setdefault(line.name, line.place)
            header = _READERS[line.name](header, line.text.strip(), chorus)
        except _HeaderError as error:
            problems.append(Problem(line.place, error.code, error.message, error.hint))
            if line.name == "meter":  # the longest meter, so that no pickup is reported as too long
                header = replace(header, meter=Meter(MOST_BEATS, 1))
    return header, problems


# Each of these functions reads the text of one line: it returns the header with the new value, or
# raises _HeaderError.


def _meter(header: Header, text: str, _: Chorus) -> Header:
    if text == "free":
        return replace(header, meter=FREE)
    found = _METER.fullmatch(text)
    if not found:
        raise _HeaderError(
            f"{shown(text)} cannot be read as a meter.",
            'Write two numbers, such as "3/4" or "6/8", or the word "free".'
            + did_you_mean(text, ["free"]),
        )
    beats, unit = int(found[1]), int(found[2])
    if unit not in UNITS:
        raise _HeaderError(
            f"The lower number of a meter cannot be {unit}.",
            "Write 1, 2, 4, 8, 16 or 32 as the lower number: 4 for quarters, 8 for eighths.",
        )
    if not 1 <= beats <= MOST_BEATS:
        raise _HeaderError(
            f"A bar cannot have {beats} beats.",
            f"Write a number from 1 to {MOST_BEATS} before the slash. For music without bars, "
            'write "meter: free".',
        )
    return replace(header, meter=Meter(beats, unit))


def _pickup(header: Header, text: str, _: Chorus) -> Header:
    if not re.fullmatch(r"[0-9]{1,3}", text):
        raise _HeaderError(
            f"{shown(text)} is not a number of beats.",
            'Write a whole number of beats, such as "pickup: 1". Rests before the first note are '
            'written as "0".',
        )
    meter = header.meter
    if meter.free:
        raise _HeaderError(
            'There cannot be a pickup, because the meter is "free": there are no bars.',
            'Delete the line "pickup:", or write a meter, such as "meter: 4/4".',
        )
    pickup = int(text) * meter.beat
    if pickup >= meter.bar:
        raise _HeaderError(
            f"A pickup of {text} beats fills a whole bar of {meter}.",
            f"Write a smaller number: a bar of {meter} has {meter.bar / meter.beat} beats, and a "
            'pickup has fewer. If the first bar is full, delete the line "pickup:".',
        )
    return replace(header, pickup=pickup)


def _mode(header: Header, text: str, _: Chorus) -> Header:
    if text not in MODES:
        raise _HeaderError(
            f"{shown(text)} is not one of the modes.",
            f"Write one of these: {in_quotes(MODES)}." + did_you_mean(text[:40], MODES),
        )
    return replace(header, mode=MODE_NAMES[text])


def _octave(header: Header, text: str, chorus: Chorus) -> Header:
    octaves = dict(header.octaves)
    for setting in text.split(","):
        found = _OCTAVE.fullmatch(setting.strip())
        if not found or abs(int(found[2])) > MOST_OCTAVES:
            raise _HeaderError(
                f"{shown(setting.strip())} does not name a voice and its octave.",
                'Write a voice and a number from -3 to 3, such as "octave: bass -1". 0 is the '
                'octave of the tonic in the field "keys".',
            )
        name = found[1]
        voices = (LEADER,) if name == LEADER else chorus.named(name)
        if not voices:
            known = [LEADER, "all", *chorus.voices, *chorus.groups]
            raise _HeaderError(
                f"There is no voice or group called {shown(name)}.",
                f"Write one of these: {in_quotes(known)}." + did_you_mean(name[:40], known),
                "notation-voice",
            )
        for voice in voices:
            if voice in octaves:
                raise _HeaderError(
                    f'The octave of "{voice}" is given twice.', "Delete one of the two."
                )
            octaves[voice] = int(found[2])
    return replace(header, octaves=MappingProxyType(octaves))


#: The functions that read header lines, by the name of the line.
_READERS: dict[str, Callable[[Header, str, Chorus], Header]] = {
    "meter": _meter,
    "pickup": _pickup,
    "mode": _mode,
    "octave": _octave,
}
