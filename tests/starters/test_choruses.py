"""The ready chorus.yml files: every one can be used as it is, what it names a source for is what
that source says, and a reader can look the source up."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from chorus_handbook.chorus import read_chorus_config
from starter_sets import CHORUSES, STARTERS

PROJECT = Path(__file__).parent.parent.parent
READY = [STARTERS / name / "chorus.yml" for name in CHORUSES]

SOURCES = PROJECT / "docs" / "sources.md"

#: Lowest and highest notes as published, by source and part. Titles, addresses and days seen:
#: docs/sources.md.
PUBLISHED: dict[str, dict[str, tuple[str, str]]] = {
    # Bristol A Cappella, "Range Check": a community choir
    "community": {
        "soprano": ("C4", "A5"),
        "mezzo": ("A3", "F5"),
        "alto": ("F3", "D5"),
        "low-alto": ("F3", "D5"),
        "tenor": ("D3", "A4"),
        "first-tenor": ("D3", "A4"),
        "baritone": ("B2", "F4"),
        "bass": ("G2", "D4"),
    },
    # Music Stack Exchange, "Accepted ranges for SATB choral works?": average ranges of amateur
    # church-choir music, which is what the music asks
    "church": {
        "soprano": ("Bb3", "E5"),
        "alto": ("G3", "C5"),
        "second-tenor": ("C3", "E4"),
        "tenor": ("C3", "E4"),
        "bass": ("F2", "C4"),
    },
    # 351 chorales by J. S. Bach in the music21 corpus, computed
    "chorales": {
        "soprano": ("A3", "A5"),
        "alto": ("F3", "D5"),
        "tenor": ("C3", "A4"),
        "bass": ("C2", "E4"),
    },
    # Barbershop Harmony Society, FAQ; the lead's top reads F5 there, likely a misprint for F4
    "close": {
        "tenor": ("B3", "C5"),
        "lead": ("D3", "F4"),
        "baritone": ("C3", "E4"),
        "bass": ("G2", "C4"),
    },
    # Michael J. Thom, "Reading Task 3", a course paper on children's voices
    "grade 1": {"younger": ("C4", "B4")},
    "grade 6": {"older": ("G3", "G5")},
    # C4 Network, "About ensemble types", middle-school groups; of its sopranos the top is given,
    # of its altos the bottom
    "middle": {
        "soprano": ("", "F5"),
        "alto": ("Bb3", ""),
        "changing": ("G3", "F4"),
        "bass": ("Bb2", "D4"),
    },
}
_VOICE = re.compile(r"^  ([a-z-]+):$")
_RANGE = re.compile(r"^    (?:comfortable|limits): (\S+) to (\S+) +# (.*)$")
_SOURCES = re.compile(r"(?:([A-G][#b]?\d) )?\[([^\]]+)\]")


def stated(text: str) -> Iterator[tuple[str, tuple[str, str], str]]:
    """Every range of a file: whose it is, its two notes, and the remark behind it."""
    voice = ""
    for line in text.splitlines():
        if found := _VOICE.match(line):
            voice = found[1]
        elif found := _RANGE.match(line):
            yield voice, (found[1], found[2]), found[3]


def test_there_is_one_for_every_kind_of_chorus() -> None:
    assert CHORUSES == [
        *("changing-voices", "children", "close-harmony", "lower-voices", "mixed", "upper-voices"),
    ]


@pytest.mark.parametrize("path", READY, ids=lambda path: path.parent.name)
def test_it_can_be_used_as_it_is(path: Path, tmp_path: Path) -> None:
    root = tmp_path / "handbook"
    root.mkdir()
    (root / "chorus.yml").write_bytes(path.read_bytes())
    (root / "vocabulary.yml").write_bytes((PROJECT / "handbook" / "vocabulary.yml").read_bytes())
    config, problems = read_chorus_config(root)
    assert not problems and config.chorus
    assert set(config.chorus.voices) == {voice for voice, *_ in stated(path.read_text("utf-8"))}


@pytest.mark.parametrize("path", READY, ids=lambda path: path.parent.name)
def test_every_figure_has_a_source_or_is_called_ours(path: Path) -> None:
    """A remark such as "C4 [community], E5 [church]" gives a note's source, one without notes that
    of both."""
    text = path.read_text("utf-8")
    ranges = list(stated(text))
    assert len(ranges) == 2 * len(yaml.safe_load(text)["voices"])
    for voice, notes, remark in ranges:
        named = _SOURCES.findall(remark)
        assert named, (voice, remark)
        whole = [tags for note, tags in named if not note]
        for note, tags in named:
            if note and note not in notes:
                continue  # a figure told beside the one that was chosen
            for tag in tags.split(", "):
                if tag == "ours":
                    continue
                message = PUBLISHED[tag][voice]
                if note:
                    assert message[notes.index(note)] == note, (voice, remark)
                else:
                    assert message == notes, (voice, remark)
        given = {note for note, _ in named}
        assert whole or set(notes) <= given, (voice, remark)


def test_what_is_taken_for_a_misprint_is_told() -> None:
    text = (STARTERS / "close-harmony" / "chorus.yml").read_text("utf-8")
    assert "D3 to F5" in text and "misprint" in text


#: A source in the head of a chorus.yml: its tag, then text up to the next tag.
_CITED = re.compile(r"(?m)^#   \[([^\]]+)\]((?:.|\n(?!#   \[|name:|# [A-Z]))*)")
_ADDRESS = re.compile(r"https://[^\s<>,)]+")
_DAY = re.compile(r"\b20\d\d-\d\d-\d\d\b")
#: A row of a table in docs/sources.md: short names, what it is, address, day.
_ROW = re.compile(r"(?m)^\| ([^|]+) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$")


def source_rows() -> list[tuple[str, str, str, str]]:
    rows = _ROW.findall(SOURCES.read_text("utf-8"))
    return [(a, b, c, d) for a, b, c, d in rows if a != "Short name" and set(a) != {"-"}]


@pytest.mark.parametrize("row", source_rows(), ids=lambda row: row[0])
def test_a_source_has_title_address_and_day_or_says_what_is_missing(
    row: tuple[str, str, str, str],
) -> None:
    _, source, address, day = row
    assert len(source) > 20
    assert _ADDRESS.search(address) or address == "address not recorded"
    assert _DAY.search(day) or day in ("day not recorded", "counted again by every full test run")


@pytest.mark.parametrize(
    "path", [*READY, PROJECT / "handbook" / "chorus.yml"], ids=lambda path: path.parent.name
)
def test_a_chorus_file_gives_the_addresses_of_its_sources(path: Path) -> None:
    """A file is copied without the docs, so it carries them itself, the same as docs/sources.md."""
    text = path.read_text("utf-8")
    rows = {tag: row for row in source_rows() for tag in re.findall(r"`\[([^\]]+)\]`", row[0])}
    # a tag that shares its entry with the next one ("[grade 1] C4 to B4, and") reads on into it
    cited = dict(_CITED.findall(text))
    used = {tag for _, _, remark in stated(text) for tag in tags_of(remark)} - {"ours"}
    for tag in used:
        entry = cited[tag]
        if entry.rstrip().endswith(", and"):
            entry = cited[list(cited)[list(cited).index(tag) + 1]]
        _, _, address, _ = rows[tag]
        if wanted := _ADDRESS.search(address):
            assert _ADDRESS.findall(entry) == [wanted[0]], tag
            assert _DAY.search(entry), tag
        else:
            assert "not recorded" in " ".join(entry.replace("#", " ").split()), tag


def tags_of(remark: str) -> list[str]:
    return [tag for _, tags in _SOURCES.findall(remark) for tag in tags.split(", ")]
