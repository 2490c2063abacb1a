"""Damaged score files: whatever is in them, the handbook reads them or says what is wrong."""

from __future__ import annotations

import os
import random
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import music21
import pytest
from lxml import etree

from checked import checked
from chorus_handbook.engraving.engine import EngravingError
from chorus_handbook.engraving.exercise import engrave_in_key
from chorus_handbook.music.musicxml.parse import ScoreFileError, parse

#: How many damaged files are read, and how many of those that can be read are drawn; a longer run
#: is asked for by hand: FUZZ_FILES=5000 FUZZ_DRAWINGS=1000 pytest tests/music/musicxml -s
FILES = int(os.environ.get("FUZZ_FILES", "600"))
DRAWINGS = int(os.environ.get("FUZZ_DRAWINGS", "100"))
SEED = int(os.environ.get("FUZZ_SEED", "20"))

HANDBOOK = Path(__file__).parents[3] / "handbook"
CASES = Path(__file__).parents[2] / "cases" / "musicxml"
SUITE = Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
WILD = ["", "0", "-1", "99999999999", "1e9", "NaN", "\u202e", "x" * 5000, "3/4", "no", "  ", "é"]
NUMBERS = "0 1 2 3 4 5 6 7 8 12 16 31 100 127 1000 99999999 -1 -2 -7 -12 0.5".split()

#: Of the demo's vocabulary only what the exercise needs: all of it is read for every file.
VOCABULARY = """\
goals: {harmony: {label: Harmony, about: Chords in tune.}}
soundings: {vowel: {label: Vowel, lowest_impact: 3}}
formations: {}
"""

EXERCISE = """---
title: Damaged
summary: A file that somebody broke.
goals: [harmony]
impact: 3
sounding: vowel
minutes: 3
tempo: 80
keys: C4
score: scores/damaged.musicxml
---
Nothing.
"""


def originals() -> list[bytes]:
    """The demo's scores, the golden cases, and another program's test files with a part for each
    singer."""
    files = [
        etree.tostring(parse(path.read_bytes()))
        for folder in (HANDBOOK / "scores", CASES)
        for path in sorted(folder.glob("*.musicxml"))
    ]
    names = ["Soprano", "Alto", "Tenor", "Bass"]
    for path in sorted(SUITE.glob("*.xml")):
        try:
            tree = parse(path.read_bytes())
        except ScoreFileError:
            continue
        parts = tree.getroot().findall("part-list/score-part/part-name")
        for name, part in zip(names, parts, strict=False):
            part.text = name
        files.append(etree.tostring(tree))
    return files


def damaged(original: bytes, chance: random.Random) -> bytes:
    """A copy of a file with one to four things wrong in it."""
    kind = chance.random()
    if kind < 0.25:
        return bytes_damaged(original, chance)
    if kind < 0.6:
        return numbers_damaged(original, chance)
    root = etree.fromstring(original)
    for _ in range(chance.randint(1, 4)):
        elements = list(root.iter())[1:]
        if elements:
            damage(chance.choice(elements), chance.choice(elements), chance)
    return etree.tostring(root)


def bytes_damaged(original: bytes, chance: random.Random) -> bytes:
    """A copy with bytes changed, lost or doubled, or cut off."""
    data = bytearray(original)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(max(len(data), 1))
        match chance.randrange(4):
            case 0:
                data[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                del data[at : at + chance.randint(1, 60)]
            case 2:
                data[at:at] = data[at : at + chance.randint(1, 200)]
            case _:
                del data[at:]
    return bytes(data)


def numbers_damaged(original: bytes, chance: random.Random) -> bytes:
    """A copy with other numbers in it: most of these are allowed by the schema."""
    root = etree.fromstring(original)
    numbers = [e for e in root.iter() if (e.text or "").strip().lstrip("-").isdecimal()]
    for element in chance.sample(numbers, min(len(numbers), chance.randint(1, 2))):
        element.text = chance.choice(NUMBERS)
    return etree.tostring(root)


def damage(element: etree._Element, other: etree._Element, chance: random.Random) -> None:
    """Do something to an element that its author did not mean."""
    parent = element.getparent()
    match chance.randrange(6):
        case 0 if parent is not None:
            parent.remove(element)
        case 1 if parent is not None:
            parent.insert(0, etree.fromstring(etree.tostring(element)))
        case 2:
            element.text = chance.choice(WILD)
        case 3 if element.attrib:
            element.set(str(chance.choice(list(element.attrib))), chance.choice(WILD))
        case 4:
            element.text = other.text
        case 5 if other is not element and element not in list(other.iterancestors()):
            other.append(element)


@pytest.fixture
def handbook(tmp_path: Path) -> Path:
    """A handbook whose one exercise names a score."""
    root = tmp_path / "handbook"
    (root / "exercises").mkdir(parents=True)
    (root / "scores").mkdir()
    (root / "chorus.yml").write_bytes((HANDBOOK / "chorus.yml").read_bytes())
    (root / "vocabulary.yml").write_text(VOCABULARY, encoding="utf-8")
    (root / "exercises" / "damaged.md").write_text(EXERCISE, encoding="utf-8")
    return root


def files() -> Iterator[bytes]:
    chance = random.Random(SEED)
    whole = originals()
    for _ in range(FILES):
        yield damaged(chance.choice(whole), chance)


def test_no_damaged_file_crashes_or_hangs_the_handbook(handbook: Path) -> None:
    counts: Counter[str] = Counter()
    file = handbook / "scores" / "damaged.musicxml"
    file.write_bytes(originals()[0])
    assert not checked(handbook).broken  # whatever is wrong below, the damage has done it
    for data in files():
        file.write_bytes(data)
        book = checked(handbook)
        for problem in book.problems:
            assert problem.place.line >= 1 and problem.message.strip() and problem.hint.strip()
        score = book.scores.get("damaged")
        if score is None:
            assert book.broken, data
            counts["refused"] += 1
            continue
        counts["read"] += 1
        if counts["drawn"] + counts["not drawn"] < DRAWINGS:
            chorus, tonic = book.config.chorus, book.facts["damaged"].keys[0]
            assert chorus
            try:
                engrave_in_key("damaged", "Damaged", score, chorus=chorus, tonic=tonic)
                counts["drawn"] += 1
            except EngravingError as error:
                assert str(error).strip()
                counts["not drawn"] += 1
    sys.stdout.write(f"seed {SEED}: {dict(counts)}\n")
    assert counts["read"] + counts["refused"] == FILES
    assert counts["read"] >= FILES // 20 and counts["refused"] >= FILES // 20
    assert counts["drawn"] + counts["not drawn"] == min(DRAWINGS, counts["read"])
    assert counts["drawn"] >= DRAWINGS // 2
