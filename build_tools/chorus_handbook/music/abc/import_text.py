"""Reads a whole ABC file for `handbook import`: finds its tunes, and their titles, keys and
tempos."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.music.abc.keys import FieldError, read_key
from chorus_handbook.music.abc.lines import BEGIN_BLOCK, END_BLOCK
from chorus_handbook.music.score import Meter
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

_FIELD = re.compile(r"([A-Za-z]):[ \t]*([^%\n]*)")
#: Replaces a line with a directive, so that the other lines keep their numbers.
_EMPTY = "%%"
#: Fields above the first tune that change what is sung.
_HEAD_FIELD = re.compile(r"[MLU]:")
_TEMPO = re.compile(r"(?:(\d{1,2})/(\d{1,2})\s*=\s*)?(\d{1,3})\b")


@dataclass(frozen=True, slots=True)
class Header:
    """What the fields of a tune say: its title (may be empty), its tonic as written, the text of
    `Q:` (the tempo), and the text of the tune without empty lines around it."""

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


@dataclass(frozen=True, slots=True)
class Tunes:
    """The tunes of an ABC file: the fields above the first tune, and each tune with the number of
    its first line. A file without `X:` is one tune."""

    head: tuple[str, ...]
    tunes: tuple[tuple[int, str], ...]

    @property
    def numbers(self) -> list[str]:
        """The numbers that the tunes have in their `X:`; empty where there is none."""
        firsts = (_FIELD.match(text) for _, text in self.tunes)
        return [found[2].strip() if found and found[1] == "X" else "" for found in firsts]


def split_tunes(text: str) -> Tunes:
    """Divide a file into its tunes. Directives that only concern the page, and text between tunes,
    are left out; lines keep their numbers."""
    lines = _without_directives(text.split("\n"))
    starts = [n for n, line in enumerate(lines) if line.startswith("X:")]
    if not starts:
        return Tunes((), ((1, "\n".join(lines)),))
    head = tuple(line for line in lines[: starts[0]] if _HEAD_FIELD.match(line))
    ends = [*starts[1:], len(lines)]
    tunes = []
    for start, end in zip(starts, ends, strict=True):
        copied, tune = _tune(lines[start:end], head)
        # Below its first line, the tune is longer by the copied fields. It counts as beginning so
        # many lines earlier, so that its other lines have their numbers in the file.
        tunes.append((start + 1 - len(copied), "\n".join(tune)))
    return Tunes(head, tuple(tunes))


def _without_directives(lines: Sequence[str]) -> list[str]:
    """The lines, with every directive replaced by an empty one, except `propagate-accidentals`, on
    which pitches depend."""
    kept, block = [], ""  # `block`: the kind of the block that is open
    ends = Counter(found[1] for line in lines if (found := END_BLOCK.match(line)))
    for line in lines:
        begun, ended = BEGIN_BLOCK.match(line), END_BLOCK.match(line)
        if ended:
            ends[ended[1]] -= 1
        if begun and ends[begun[1]] > 0:  # a block that never ends would swallow the whole rest
            block = block or begun[1]
        directive = line.lstrip().startswith("%%") and "propagate-accidentals" not in line
        kept.append(_EMPTY if block or directive else line)
        if ended and ended[1] == block:
            block = ""
    return kept


def _tune(lines: Sequence[str], head: Sequence[str]) -> tuple[list[str], list[str]]:
    """The fields that a tune takes from above the first tune (those that it does not have itself),
    and the tune with these fields added after its first line.

    An empty line ends a tune. If the lines after it look like music, they are kept, so that reading
    the tune reports them and no music is lost silently.
    """
    end = next((n for n, line in enumerate(lines) if not line.strip()), len(lines))
    if any("|" in line or _FIELD.match(line) for line in lines[end:]):
        end = len(lines)
    key = next((n for n, line in enumerate(lines) if line.startswith("K:")), end)
    own = {line[:1] for line in lines[:key]}
    missing = [line for line in head if line[:1] not in own]
    return missing, [*lines[:1], *missing, *lines[1:end]]


def read_header(text: str, place: Place) -> tuple[Header | None, list[Problem]]:
    """Read the fields of one tune. A tune that cannot be put into a fence in an exercise is
    reported, and so is a key that cannot be read; then the header is None."""
    fields = [(line, m[1], m[2].strip()) for line, m in _fields(text)]
    for number, line in enumerate(text.split("\n")):
        if line.startswith(("```", "~~~")) or "<!--" in line:
            return None, [
                Problem(
                    place.at(place.line + number),
                    "notation-line",
                    "This line cannot be part of an exercise.",
                    "Delete it: the file should hold ABC only.",
                )
            ]
    music = "\n".join(line for line in text.split("\n") if line != _EMPTY)
    first = {name: (line, value) for line, name, value in reversed(fields)}
    line, key = first.get("K", (1, ""))
    try:
        tonic = read_key(key)[0].tonic
    except FieldError as error:
        at = place.at(place.line + line - 1)
        return None, [Problem(at, error.code, error.message, error.hint)]
    return Header(
        first.get("T", (1, ""))[1], tonic, first.get("Q", (1, ""))[1], music.strip("\n")
    ), []


def _fields(text: str) -> list[tuple[int, re.Match[str]]]:
    matches = ((n, _FIELD.match(line)) for n, line in enumerate(text.split("\n"), 1))
    return [(n, match) for n, match in matches if match]
