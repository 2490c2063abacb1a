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

_GROUP = re.compile(r'<g (?:id="([^"]*)" )?class="(note|measure|staff)[ "]')
#: A syllable's group, in which nothing but text stands.
_SYLLABLE = re.compile(r'class="syl[ "][^>]*>(.*?)</g>', re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
#: Spaces, underscores typed for a line, and signs of the music font, such as the one that joins two
#: syllables on one note.
_NOT_WORDS = re.compile("[\\s_\ue000-\uf8ff]+")
_MEI_NOTE, _MEI_MEASURE = (
    re.compile(rf'<{name}(?: xml:id="([^"]*)")?[ />]') for name in ("note", "measure")
)
_MEI_SYLLABLE = re.compile(r"<syl[^>]*>([^<]*)</syl>")
#: How many missing syllables a message names.
_NAMED = 3
#: Lines about spacing, and about signs that begin and never end: they explain no loss.
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
_IN_PLAIN_WORDS = (
    (r"MusicXML import: Multimetric music", "parts are in different meters at the same time"),
    (r"MusicXML import: No measure to load", "there is no bar in it"),
    (r"MusicXML import: Could not find the part '(.*)'", "the part {} has no music"),
    (r"MusicXML import: Unsupported note-type-value '(.*)'", "the engraver has no “{}” notes"),
)


@dataclass(frozen=True, slots=True)
class _Expected:
    """What a drawing must contain: how many notes and measures, by id where they have one, staves
    in each measure, and syllables."""

    notes: Counter[str]
    measures: Counter[str]
    staves: int
    words: Counter[str]


def losses(document: str, raw: str) -> list[str]:
    """What is missing from a drawing of an MEI or partwise MusicXML document: one phrase for each
    kind. In MusicXML only notes with an id are counted."""
    is_file = "<score-partwise" in document[:2000]
    expected = _of_file(ET.fromstring(document)) if is_file else _of_mei(document)
    drawn: dict[str, Counter[str]] = {kind: Counter() for kind in ("note", "measure", "staff")}
    for name, kind in _GROUP.findall(raw):
        drawn[kind][name] += 1
    found = []
    for what, wanted, has in (
        ("notes", expected.notes, drawn["note"]),
        ("bars", expected.measures, drawn["measure"]),
    ):
        # the engraver gives ids of its own to what has none
        named = wanted - Counter({"": wanted[""]})
        lost = max((named - has).total(), wanted.total() - has.total())
        if lost > 0:
            found.append(f"{lost} of {wanted.total()} {what} were not drawn")
    if drawn["staff"].total() < drawn["measure"].total() * expected.staves:
        found.append("a staff is missing from some bars")
    lost_words = expected.words - _counted(_drawn_words(raw))
    if lost_words:
        some = ", ".join(f"“{word}”" for word in sorted(lost_words)[:_NAMED])
        count, total = lost_words.total(), expected.words.total()
        found.append(f"{count} of {total} syllables were not drawn ({some})")
    return found


def _of_mei(document: str) -> _Expected:
    """What our own MEI asks for (`mei`), where an id is a tag's first attribute: by its text, as
    this is done for every drawing."""
    return _Expected(
        Counter(_MEI_NOTE.findall(document)),
        Counter(_MEI_MEASURE.findall(document)),
        document.count("<staffDef "),
        _counted(map(unescape, _MEI_SYLLABLE.findall(document))),
    )


def _of_file(root: ET.Element) -> _Expected:
    listed = {entry.get("id") for entry in root.iterfind("part-list/score-part")}
    parts = [part for part in root.iterfind("part") if part.get("id") in listed]
    notes = (note.get("id", "") for part in parts for note in part.iter("note"))
    return _Expected(
        Counter(filter(None, notes)),
        Counter(_drawn_measures(parts[0]) if parts else ()),
        sum(max(_numbers(part, ".//staves"), default=1) for part in parts),
        _counted(
            text.text or ""
            for part in parts
            for note in part.iter("note")
            if note.find("rest") is None  # words under rests are drawn by nobody
            for text in note.iterfind("lyric/text")
        ),
    )


def _drawn_measures(part: ET.Element) -> Iterator[str]:
    """The ids of the measures, but for those that a rest of many bars takes in."""
    covered = 0
    for measure in part.iterfind("measure"):
        covered = max(0, covered - 1, *_numbers(measure, ".//multiple-rest"))
        rests = measure.find(".//multiple-rest") is not None
        if not covered or rests:
            yield measure.get("id", "")


def _numbers(element: ET.Element, path: str) -> list[int]:
    texts = (found.text or "" for found in element.iterfind(path))
    return [int(text) for text in texts if text.strip().isdecimal()]


def _drawn_words(raw: str) -> Iterator[str]:
    for found in _SYLLABLE.finditer(raw):
        yield unescape(_TAG.sub("", found[1]))


def _counted(words: Iterable[str]) -> Counter[str]:
    return Counter(filter(None, map(_letters, words)))


@lru_cache(maxsize=4096)
def _letters(word: str) -> str:
    return _NOT_WORDS.sub("", word)


def reasons(log: Iterable[str]) -> list[str]:
    """What of the engraver's log may say why something was not drawn, each once."""
    return list(dict.fromkeys(_plainly(line) for line in log if not _EXPLAINS_NOTHING.match(line)))


def _plainly(line: str) -> str:
    for pattern, words in _IN_PLAIN_WORDS:
        found = re.match(pattern, line)
        if found:
            return words.format(*found.groups())
    return line.removeprefix("MusicXML import: ")
