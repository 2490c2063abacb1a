"""Four-part chorales by J. S. Bach, as the library music21 has them in its corpus: through our
reader and our measures they must give the ranges and intervals that music21 itself finds in them.

Of the 371 in its list (the edition of Riemenschneider; some pieces stand in it twice) 351 are for
soprano, alto, tenor and bass alone, which no part for instruments tells apart. The figures below
were computed with music21; docs/sources.md cites them for ranges. Every fourth file is read, and
the figures must come near; with `CHORALES=all` in the environment all are, and must give them
exactly.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.measure import measure, sounding_pitches
from chorus_handbook.music.musicxml.container import read_score
from chorus_handbook.music.musicxml.reader import read_document
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

pytestmark = pytest.mark.long

#: Bars of ten quarters under a signature of 4/4: the one of the 351 that is refused.
LONG_BARS = "bwv324"


def _listed() -> Iterator[Path]:
    """The chorales of the list, as MusicXML."""
    from music21 import corpus
    from music21.corpus import chorales

    for name in chorales.Iterator(returnType="filename"):
        found = corpus.getWork(name)
        paths = [Path(str(path)) for path in (found if isinstance(found, list) else [found])]
        yield next(path for path in paths if path.suffix == ".mxl")


ALL = os.environ.get("CHORALES") == "all"


@dataclass
class Figures:
    """What all chorales have together; a chorale counts as often as it is listed."""

    scores: int = 0
    lowest: dict[str, Pitch] = field(default_factory=dict)
    highest: dict[str, Pitch] = field(default_factory=dict)
    intervals: Counter[int] = field(default_factory=Counter)
    time: dict[str, Counter[int]] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)

    def add(self, facts: Facts, score: Score, times: int) -> None:
        self.scores += times
        for voice in facts.voices:
            assert voice.lowest and voice.highest
            name, lowest, highest = voice.voice, voice.lowest, voice.highest
            self.lowest[name] = min(self.lowest.get(name, lowest), lowest, key=lambda p: p.midi)
            self.highest[name] = max(self.highest.get(name, highest), highest, key=lambda p: p.midi)
            if name == "soprano":
                for size, count in voice.intervals.items():
                    self.intervals[size] += count * times
        assert score.file is not None
        for part in score.parts:
            held: Counter[int] = self.time.setdefault(part.voice, Counter())
            for note in part.sung:
                pitch = sounding_pitches(note, part, score.file.tonic, score.mode)[0]
                held[pitch.midi] += int(note.duration * 48) * times

    def share(self, *sizes: int) -> float:
        """Of all intervals of the soprano those of these sizes, in hundredths."""
        return 100 * sum(self.intervals[size] for size in sizes) / self.intervals.total()

    def within(self, voice: str, hundredths: int) -> int:
        """The MIDI number below or at which a voice sings for so much of its time."""
        held, passed = self.time[voice], 0
        for midi in sorted(held):
            passed += held[midi]
            if Fraction(passed, held.total()) >= Fraction(hundredths, 100):
                return midi
        raise AssertionError


@pytest.fixture(scope="module")
def figures(chorus: Chorus) -> Figures:
    found = Figures()
    listed = sorted(Counter(_listed()).items())
    some = [one for n, one in enumerate(listed) if n % 4 == 0 or one[0].stem == LONG_BARS]
    for path, times in listed if ALL else some:
        score, problems = read_document(read_score(path), path.name, chorus, ())
        if score is None:
            found.refused[path.stem] = problems[0].message
            continue
        assert {part.voice for part in score.parts} == {"soprano", "alto", "tenor", "bass"}
        assert score.file is not None
        facts = measure("c", score, tempo=60, keys=(score.file.tonic,), passes=1, lead_in=4)
        found.add(facts, score, times)
    return found


def test_all_that_are_for_four_voices_alone_are_read(figures: Figures) -> None:
    assert figures.scores == 351 - 1 if ALL else 80 < figures.scores < 100
    assert figures.refused.pop(LONG_BARS) == (
        "Bar 7 of Soprano: This bar lasts 10 quarters, but a bar of 4/4 lasts 4."
    )
    assert len(figures.refused) == 19 if ALL else 2 < len(figures.refused) < 10
    for message in figures.refused.values():  # a part for an instrument, or two sopranos
        assert message.startswith("There is no voice or group called ")


def test_ranges_are_those_of_the_chorales(figures: Figures) -> None:
    expected = {
        "soprano": ("A3", "A5"),
        "alto": ("F3", "D5"),
        "tenor": ("C3", "A4"),
        "bass": ("C2", "E4"),
    }
    assert figures.lowest.keys() == figures.highest.keys() == expected.keys()
    for voice, (low, high) in expected.items():
        under = figures.lowest[voice].midi - Pitch.parse(low).midi
        over = Pitch.parse(high).midi - figures.highest[voice].midi
        # The outermost notes stand in a few chorales only.
        assert (under, over) == (0, 0) if ALL else 0 <= min(under, over) <= max(under, over) <= 4


@pytest.mark.parametrize(
    ("voice", "low", "high"),
    [
        ("soprano", "E4", "E5"),
        ("alto", "B3", "Bb4"),
        ("tenor", "F#3", "F4"),
        ("bass", "G2", "Bb3"),
    ],
)
def test_most_of_the_time_is_sung_where_it_is(
    voice: str, low: str, high: str, figures: Figures
) -> None:
    """From five to 95 hundredths of the time that a voice sings."""
    far = 0 if ALL else 1
    assert abs(figures.within(voice, 5) - Pitch.parse(low).midi) <= far
    assert abs(figures.within(voice, 95) - Pitch.parse(high).midi) <= far


@pytest.mark.parametrize(
    ("sizes", "share"),
    [
        (range(1), 15.2),
        (range(1, 3), 70.2),
        (range(3, 5), 7.4),
        (range(5, 8), 6.7),
        (range(8, 99), 0.6),
    ],
    ids=["repeats", "steps", "thirds", "fourths and fifths", "wider"],
)
def test_soprano_moves_as_it_does(sizes: range, share: float, figures: Figures) -> None:
    """Within half a hundredth: music21 counted other editions of some of them, too."""
    assert figures.share(*sizes) == pytest.approx(share, abs=0.5 if ALL else 2)
