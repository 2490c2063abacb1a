"""Finds out what is missing from a drawing, and why.

verovio logs much that is harmless, and when it really fails, it returns a drawing with something
missing. So a drawing is checked for everything it must contain: every note, every syllable, every
measure, and every staff of each measure. If something is missing, lines of the log may say why;
they are translated into words that authors of scores understand.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from html import unescape
from xml.etree import ElementTree as ET

from chorus_handbook.engraving.drawn import Drawn

#: Characters of a syllable that are not compared: spaces, underscores that stand for a line, and
#: signs of the music font, such as the sign that joins two syllables on one note.
_NOT_WORDS = re.compile("[\\s_\ue000-\uf8ff]+")
_MEI_NOTE, _MEI_MEASURE = (
    re.compile(rf'<{name}(?: xml:id="([^"]*)")?[ />]') for name in ("note", "measure")
)
_MEI_SYLLABLE = re.compile(r"<syl[^>]*>([^<]*)</syl>")
#: How many missing syllables a message names.
_MOST_NAMED = 3
#: Beginnings of log lines about spacing, and about signs without an end, which explain no loss.
_EXPLAINS_NOTHING = re.compile(
    r"Justification is highly compressed"
    r"|System full width"
    r"|Non-justifiable width"
    r"|Drawing justifiable width"
    r"|Syllable with underline extender under one single note"
    r"|Adding auxiliary KeySig for transposition"
    r"|MusicXML import: There are \d+ \w+ left"
    r"|MusicXML import: slur "
    r"|MusicXML import: Dangling ending tag"
)
#: Lines of the engraver's log, and what they mean for the author of a score.
_IN_PLAIN_WORDS = (
    (r"MusicXML import: Multimetric music", "parts are in different meters at the same time"),
    (r"MusicXML import: No measure to load", "there is no bar in it"),
    (r"MusicXML import: Could not find the part '(.*)'", "the part {} has no music"),
    (r"MusicXML import: Unsupported note-type-value '(.*)'", "the engraver has no “{}” notes"),
)


@dataclass(frozen=True, slots=True)
class _Expected:
    """What a drawing must contain: the ids of its notes and of its measures (empty for those that
    have none), the number of staves in each measure, and its syllables (`words`)."""

    notes: list[str]
    measures: list[str]
    staves: int
    words: list[str]


def losses(document: str, drawn: Drawn) -> list[str]:
    """What is missing from a drawing of an MEI or partwise MusicXML document: a phrase for notes,
    bars, staves and syllables each, if any are missing. In MusicXML, only notes with an id are
    counted."""
    is_file = "<score-partwise" in document[:2000]
    expected = _of_file(ET.fromstring(document)) if is_file else _of_mei(document)
    found = []
    for what, listed, has in (
        ("notes", expected.notes, drawn.notes),
        ("bars", expected.measures, drawn.measure_ids),
    ):
        if listed == has:
            continue
        # the engraver invents ids for elements without one, so these can only be counted
        named = Counter(name for name in listed if name)
        lost = max((named - Counter(has)).total(), len(listed) - len(has))
        if lost > 0:
            found.append(f"{lost} of {len(listed)} {what} were not drawn")
    if drawn.staves < len(drawn.measure_ids) * expected.staves:
        found.append("a staff is missing from some bars")
    words = _letters_of(drawn.syllables)
    lost_words = Counter() if words == expected.words else Counter(expected.words) - Counter(words)
    if lost_words:
        some = ", ".join(f"“{word}”" for word in sorted(lost_words)[:_MOST_NAMED])
        count, total = lost_words.total(), len(expected.words)
        found.append(f"{count} of {total} syllables were not drawn ({some})")
    return found


def _of_mei(document: str) -> _Expected:
    """What the drawing of our own MEI (`mei`) must contain. Regular expressions find it, because
    every drawing is checked and they are fast. They rely on ids being the first attributes of
    tags."""
    return _Expected(
        _MEI_NOTE.findall(document),
        _MEI_MEASURE.findall(document),
        document.count("<staffDef "),
        _letters_of(map(unescape, _MEI_SYLLABLE.findall(document))),
    )


def _of_file(root: ET.Element) -> _Expected:
    """What the drawing of a partwise MusicXML score must contain."""
    listed = {entry.get("id") for entry in root.iterfind("part-list/score-part")}
    parts = [part for part in root.iterfind("part") if part.get("id") in listed]
    notes = (note.get("id", "") for part in parts for note in part.iter("note"))
    return _Expected(
        [*filter(None, notes)],
        [*_drawn_measures(parts[0])] if parts else [],
        sum(max(_numbers(part, ".//staves"), default=1) for part in parts),
        _letters_of(
            text.text or ""
            for part in parts
            for note in part.iter("note")
            if note.find("rest") is None  # the engraver draws no words under rests
            for text in note.iterfind("lyric/text")
        ),
    )


def _drawn_measures(part: ET.Element) -> Iterator[str]:
    """The ids of the measures that are drawn. Of a rest of many bars, only the first is."""
    covered = 0  # how many measures, this one included, a rest of many bars still fills
    for measure in part.iterfind("measure"):
        covered = max(0, covered - 1, *_numbers(measure, ".//multiple-rest"))
        begins_rest = measure.find(".//multiple-rest") is not None
        if not covered or begins_rest:
            yield measure.get("id", "")


def _numbers(element: ET.Element, path: str) -> list[int]:
    """The whole numbers in the elements at a path."""
    texts = (found.text or "" for found in element.iterfind(path))
    return [int(text) for text in texts if text.strip().isdecimal()]


def _letters_of(words: Iterable[str]) -> list[str]:
    """The words without signs that are not letters. Words without any letter are left out."""
    return [*filter(None, map(_letters, words))]


@lru_cache(maxsize=4096)
def _letters(word: str) -> str:
    return _NOT_WORDS.sub("", word)


def reasons(log: Iterable[str]) -> list[str]:
    """The lines of the engraver's log that may say why something was not drawn, each once, in plain
    words."""
    lines = (line for line in log if not _EXPLAINS_NOTHING.match(line))
    return list(dict.fromkeys(map(_in_plain_words, lines)))


def _in_plain_words(line: str) -> str:
    """What a line of the log means for an author; the line itself if that is not known."""
    for pattern, words in _IN_PLAIN_WORDS:
        found = re.match(pattern, line)
        if found:
            return words.format(*found.groups())
    return line.removeprefix("MusicXML import: ")
