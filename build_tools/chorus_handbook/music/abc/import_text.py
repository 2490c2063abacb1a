"""A whole ABC file, as its author keeps it: what is the exercise, and what it says of itself."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.music.abc.keys import FieldError, read_key
from chorus_handbook.music.score import Meter
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

_FIELD = re.compile(r"([A-Za-z]):[ \t]*([^%\n]*)")
_TEMPO = re.compile(r"(?:(\d{1,2})/(\d{1,2})\s*=\s*)?(\d{1,3})\b")


@dataclass(frozen=True, slots=True)
class Header:
    """Title (may be empty), tonic as written, the text of `Q:`, and the text without blank lines
    around it."""

    title: str
    tonic: Pitch
    tempo_text: str
    music: str

    def tempo(self, meter: Meter) -> int | None:
        """Beats of the meter a minute; None when the file names no tempo in numbers."""
        found = _TEMPO.search(re.sub(r'"[^"]*"', "", self.tempo_text))
        if not found or found[2] == "0":
            return None
        beat = Fraction(4 * int(found[1]), int(found[2])) if found[1] else meter.beat
        beats = round(int(found[3]) * beat / meter.beat)
        return beats if 20 <= beats <= 300 else None


def read_header(text: str, place: Place) -> tuple[Header | None, list[Problem]]:
    """What an ABC file says of itself. One with several tunes, or that could not stand in a fence,
    is a problem."""
    fields = [(line, m[1], m[2].strip()) for line, m in _fields(text)]
    tunes = [line for line, name, _ in fields if name == "X"]
    if len(tunes) > 1:
        return None, [
            Problem(
                place.at(tunes[1]),
                "notation-line",
                f"There are {len(tunes)} tunes in this file.",
                "Keep one tune in a file; each X: begins another.",
            )
        ]
    for number, line in enumerate(text.split("\n"), 1):
        if line.startswith(("```", "~~~")) or "<!--" in line:
            return None, [
                Problem(
                    place.at(number),
                    "notation-line",
                    "This line could not stand in an exercise.",
                    "Take it out: only ABC stands in the file.",
                )
            ]
    first = {name: (line, value) for line, name, value in reversed(fields)}
    line, key = first.get("K", (1, ""))
    try:
        tonic = read_key(key)[0].tonic
    except FieldError as error:
        return None, [Problem(place.at(line), error.code, error.message, error.hint)]
    return Header(
        first.get("T", (1, ""))[1], tonic, first.get("Q", (1, ""))[1], text.strip("\n")
    ), []


def _fields(text: str) -> list[tuple[int, re.Match[str]]]:
    matches = ((n, _FIELD.match(line)) for n, line in enumerate(text.split("\n"), 1))
    return [(n, match) for n, match in matches if match]
