"""Rounds, each written in our notation and, for music21, in its own: what they are held against."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Entry, FrontMatter, Notation, Source
from chorus_handbook.music import Music, read_music
from chorus_handbook.problems import Place, Problem

FRONT: dict[str, Any] = {
    "title": "The herring fleet",
    "summary": "A round.",
    "goals": ["harmony"],
    "impact": 3,
    "sounding": "hum",
    "minutes": 3,
    "tempo": 60,
    "keys": "C4",
}
PATH = "handbook/exercises/round.md"


@dataclass(frozen=True)
class Case:
    """A round in C: its line in `kind`, and the same in music21's TinyNotation for the first voice;
    the distance of its entries and their voices, for music21 in quarters."""

    name: str
    text: str
    tiny: str
    entries: list[str]
    after: str
    quarters: Fraction | float
    times: int = 2
    end: str = "each"
    kind: Literal["degrees", "abc"] = "degrees"
    groups: dict[str, list[str]] = field(default_factory=dict)

    @property
    def round(self) -> dict[str, object]:
        return {
            "entries": self.entries,
            "after": self.after,
            "times": self.times,
            "end": self.end,
        }


ALL = ["alto", "soprano", "tenor", "bass"]

CASES = (
    Case(
        "bells on one chord",
        "all: 1' - - - | 5 - 5 - | 3 3 5 - | 1 - - - |",
        "4/4 c'1 g2 g2 e4 e4 g2 c1",
        ALL,
        "1 bar",
        4,
    ),
    Case(
        "a scale, two beats apart",
        "all: 1 2 3 4 | 5 6 7 1' | 7 6 5 4 | 3 2 1 - |",
        "4/4 c4 d e f g a b c' b a g f e d c2",
        ["soprano", "alto"],
        "2 beats",
        2,
        times=1,
        end="together",
    ),
    Case(
        "entries in the middle of a bar, cut short",
        "all: 1 2 3 - | 5 4 3 - | 2 - 7, - | 1 - - 0 |",
        "4/4 c4 d e2 g4 f e2 d2 B2 c2. r4",
        ["bass", "tenor", "upper"],
        "3 beats",
        3,
        end="together",
        groups={"upper": ["soprano", "alto"]},
    ),
    Case(
        "a pickup, in three",
        "meter: 3/4\npickup: 1\nall: 5, | 1 - 2 | 3 - 1 | 5 4 3 | 2 - |",
        "3/4 G4 c2 d4 e2 c4 g4 f e d2",
        ["tenor", "soprano+alto"],
        "2 bars",
        6,
        times=3,
        groups={"soprano+alto": ["soprano", "alto"]},
    ),
    Case(
        "dotted beats, in ABC",
        "M:6/8\nL:1/8\nK:C\nCDE G3 | AGE D3 | EFG c3 | BAG C3 |",
        "6/8 c8 d e g4. a8 g e d4. e8 f g c'4. b8 a g c4.",
        ALL,
        "2 beats",
        3,
        end="together",
        kind="abc",
    ),
    Case(
        "a minor ground",
        "mode: minor\nall: 1 - - - | #7, - - - | 3 - - - | 2 - - - | 5 - 5 5 | 4 - - - |",
        "4/4 c1 B1 e-1 d1 g2 g4 g4 f1",
        ["alto", "tenor", "bass"],
        "2 bars",
        8,
        times=1,
    ),
    Case(
        "a tune of four lines",
        "M:4/4\nL:1/4\nK:C\nC/C/ C F/F/ F | G F/D/ C2 | E/G/ E F/A/ F | D/E/ F E2 |\n"
        "G G/G/ A A | G G/G/ G2 | C2 C2 | B,2 C2 |]",
        "4/4 c8 c c4 f8 f f4 g4 f8 d c2 e8 g e4 f8 a f4 d8 e f4 e2"
        " g4 g8 g a4 a g4 g8 g g2 c2 c B2 c2",
        ALL,
        "2 bars",
        8,
        end="together",
        kind="abc",
    ),
)


def front_of(**fields: Any) -> FrontMatter:
    return FrontMatter.model_validate(FRONT | fields)


def source_of(text: str, kind: Literal["degrees", "abc"] = "degrees") -> Source:
    return Source("round", PATH, Notation(kind, text, Place(PATH, 20)), {})


def read_round(case: Case, chorus: Chorus) -> tuple[Entry, Music, list[Problem]]:
    """A case as an exercise, and its notes."""
    entry = Entry(source_of(case.text, case.kind), front_of(round=case.round))
    music, problems = read_music(entry.source, entry.front, chorus, Path("handbook"))
    return entry, music, problems


def by_music21(case: Case) -> Any:
    """The round as music21 sings it: a part for each voice, from the line in TinyNotation."""
    from music21 import converter

    line = converter.parse(f"tinyNotation: {case.tiny}").flatten().stripTies().notesAndRests
    return sung_by_music21(line, case)


def sung_by_music21(line: Any, case: Case) -> Any:
    """A part for each voice of a round, from its line as notes and rests of music21."""
    from music21 import stream

    length = sum(Fraction(one.quarterLength) for one in line)
    last = length * case.times + (case.quarters * (len(case.entries) - 1)) * (case.end == "each")
    score = stream.Score()
    for number, name in enumerate(case.entries):
        for voice in case.groups.get(name, [name]):
            part = stream.Part(id=voice)
            for time in range(case.times):
                offset = number * case.quarters + time * length
                for one in line:
                    left = last - offset
                    if one.isNote and left > 0:
                        note = one.transpose(-12 if voice in ("tenor", "bass") else 0)
                        note.quarterLength = min(Fraction(one.quarterLength), left)
                        part.insert(offset, note)
                    offset += Fraction(one.quarterLength)
            score.insert(0, part)
    return score
