"""Reads a whole ABC file for `handbook import`: divides it into tunes, and finds the title, key and
tempo of each.

A tune begins with a field `X:` (its number); other fields, such as `T:` (title) and `K:` (key),
follow, each on a line of its own. A *directive* is a line that begins with %%.
"""

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

#: A field: its letter, and its text up to a comment.
_FIELD = re.compile(r"([A-Za-z]):[ \t]*([^%\n]*)")
#: What is written in place of each directive, so that the other lines keep their numbers.
_EMPTY = "%%"
#: Fields above the first tune that change what is sung: meter, unit of length, signs.
_HEAD_FIELD = re.compile(r"[MLU]:")
#: A tempo such as 1/4=120 or 120.
_TEMPO = re.compile(r"(?:(\d{1,2})/(\d{1,2})\s*=\s*)?(\d{1,3})\b")
#: The slowest and the fastest tempo that is believed, in beats a minute.
_SLOWEST, _FASTEST = 20, 300


@dataclass(frozen=True, slots=True)
class Header:
    """What the fields of a tune say.

    title: may be empty.
    tonic: the tonic of the key in which it is written.
    tempo_text: the text of `Q:`, such as "1/4=120"; may be empty.
    music: the text of the tune, without empty lines around it.
    """

    title: str
    tonic: Pitch
    tempo_text: str
    music: str

    def tempo(self, meter: Meter) -> int | None:
        """The tempo in beats of the meter a minute; None when the file states none in numbers."""
        found = _TEMPO.search(re.sub(r'"[^"]*"', "", self.tempo_text))  # without quoted words
        if not found or found[2] == "0":
            return None
        beat = Fraction(4 * int(found[1]), int(found[2])) if found[1] else meter.beat
        beats = round(int(found[3]) * beat / meter.beat)
        return beats if _SLOWEST <= beats <= _FASTEST else None


@dataclass(frozen=True, slots=True)
class Tunes:
    """The tunes of an ABC file. A file without `X:` is one tune.

    head: the fields above the first tune that change what is sung.
    tunes: for each tune, the number of its first line in the file, and its text.
    """

    head: tuple[str, ...]
    tunes: tuple[tuple[int, str], ...]

    @property
    def numbers(self) -> list[str]:
        """The numbers that the tunes have in their `X:`; empty where there is none."""
        first_fields = (_FIELD.match(text) for _, text in self.tunes)
        return [field[2].strip() if field and field[1] == "X" else "" for field in first_fields]


def split_tunes(text: str) -> Tunes:
    """Divide the text of a file into its tunes. Directives that only concern the page, and text
    between tunes, are left out; the other lines keep their numbers."""
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
    kept: list[str] = []
    block = ""  # the kind of the block of directives that is open, such as "text" (%%begintext)
    # how many lines to come end a block of each kind
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
    """Add to a tune the fields from above the first tune (`head`) that it does not have itself.
    Returns these fields, and the lines of the tune with the fields after its first line.

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
    """Read the fields of one tune, whose text begins at `place`. Returns the header, or None and
    the problem: the key cannot be read, or a line cannot stand in a Markdown file."""
    fields = [(line, m[1], m[2].strip()) for line, m in _fields(text)]
    for number, line in enumerate(text.split("\n")):
        if line.startswith(("```", "~~~")) or "<!--" in line:
            return None, [
                Problem(
                    place.at(place.line + number),
                    "notation-line",
                    'This line cannot be part of an exercise: it begins with "```" or "~~~", or '
                    'contains "<!--".',
                    "Delete it: the file should contain only ABC.",
                )
            ]
    music = "\n".join(line for line in text.split("\n") if line != _EMPTY)
    # The first field with each letter: its line and its text. Reversed, so that the first one wins.
    first = {letter: (line, value) for line, letter, value in reversed(fields)}
    (_, title), (_, tempo), (line, key_text) = (first.get(letter, (1, "")) for letter in "TQK")
    try:
        key, _ = read_key(key_text)
    except FieldError as error:
        at = place.at(place.line + line - 1)
        return None, [Problem(at, error.code, error.message, error.hint)]
    return Header(title, key.tonic, tempo, music.strip("\n")), []


def _fields(text: str) -> list[tuple[int, re.Match[str]]]:
    """The fields of a text, each with the number of its line from 1."""
    matches = ((n, _FIELD.match(line)) for n, line in enumerate(text.split("\n"), 1))
    return [(n, match) for n, match in matches if match]
