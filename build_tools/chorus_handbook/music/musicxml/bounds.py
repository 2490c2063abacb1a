"""Refuses scores that are too large, or in which a number is too large.

Exercises are far below these limits. Larger files are whole pieces, damaged or malicious, and would
only cost time and memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from chorus_handbook.music.limits import MOST_BARS, MOST_LINES, MOST_NOTES
from chorus_handbook.music.musicxml.places import Places
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

if TYPE_CHECKING:
    from lxml.etree import _Element

#: The most characters of a number, and of the name of a part.
_LONGEST_NUMBER, _LONGEST_NAME = 80, 400
#: The most verses (lines of words under a staff), and the most slurs, dynamics and other signs.
_MOST_VERSES, _MOST_SIGNS = 32, 20_000
#: The largest whole number, up or down, that may be in these elements or their attributes.
_LARGEST = {
    **dict.fromkeys(("staff", "staves", "staff-lines", "line", "clef-octave-change"), 32),
    **dict.fromkeys(("repeat", "ending", "octave-change", "octave"), 32),
    **dict.fromkeys(("chromatic", "diatonic", "fifths", "cancel", "transpose"), 200),
    **dict.fromkeys(("multiple-rest", "actual-notes", "normal-notes", "beat-type"), 1000),
}
#: Elements whose text or attributes are numbers.
_NUMBERS = (*_LARGEST, "alter", "beats", "divisions", "duration", "offset", "sound")
#: Attributes that are numbers.
_NUMBER_ATTRIBUTES = ("number", "size", "slashes", "tempo", "times")
#: Elements that count as signs.
_SIGNS = ("notations", "direction", "lyric", "barline", "attributes", "harmony", "forward")


def out_of_bounds(root: _Element, path: str) -> list[Problem]:
    """A problem for the first limit that a partwise score exceeds; none if it exceeds no limit.
    `path` is the file's name in the problem."""
    return _sizes(root, path) or _numbers(root, Places(root, path))


def _sizes(root: _Element, path: str) -> list[Problem]:
    """Report a score with too many parts, bars, notes, verses or signs."""
    parts = root.findall("part")
    verses = {(lyric.get("number"), lyric.get("name")) for lyric in root.iter("lyric")}
    for count, most, what in (
        (len(parts), MOST_LINES, "parts"),
        (max((len(part.findall("measure")) for part in parts), default=0), MOST_BARS, "bars"),
        (sum(1 for _ in root.iter("note")), MOST_NOTES, "notes"),
        (len(verses), _MOST_VERSES, "verses"),
        (sum(1 for _ in root.iter(*_SIGNS)), _MOST_SIGNS, "signs"),
    ):
        if count > most:
            return [
                Problem(
                    Place(path),
                    "notation-size",
                    f"This score has {count:,} {what}, but an exercise can have at most {most:,}.",
                    "In the notation editor, export only the bars and parts of the exercise.",
                )
            ]
    return []


def _numbers(root: _Element, places: Places) -> list[Problem]:
    """Report numbers that are too large for music, and parts with the same id."""
    for element in root.iter(*_NUMBERS):
        tag = str(element.tag)
        for value in (element.text or "", *(element.get(name, "") for name in _NUMBER_ATTRIBUTES)):
            if len(value) < 2:  # a single digit is never too large
                continue
            if len(value) > _LONGEST_NUMBER or any(
                n > _LARGEST.get(tag, n) for n in _whole_numbers(value)
            ):
                message = f'The number {shown(value)} in the element "{tag}" is too large.'
                return [_damaged(places.of(element), message)]
    for entry in root.iterfind("part-list/score-part"):
        if len(entry.findtext("part-name") or "") > _LONGEST_NAME:
            return [_damaged(places.of(entry), "The name of this part is too long.")]
    ids: set[object] = set()
    for part in root.iterfind("part"):
        if part.get("id") in ids:
            return [_damaged(places.of(part), "Two parts of this score have the same id.")]
        ids.add(part.get("id"))
    return []


def _whole_numbers(text: str) -> Iterator[int]:
    """The whole numbers in a text, without signs; decimals after a point are left out."""
    return (int(number) for number in re.findall(r"(?<![\d.])[0-9]+", text))


def _damaged(place: Place, message: str) -> Problem:
    return Problem(place, "score-file", message, "Export the score again from the notation editor.")
