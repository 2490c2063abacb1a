"""Golden cases of ABC: each file in tests/cases/abc holds a tune and its reading, worked by hand.

Below the line of = stands what is read: first the meter, mode, length in quarters and the starts of
the bars; then, for each line of the chorus, its sounding pitches with durations in quarters,
syllables and marks; or else the problems, each with its hint. A line with # explains; "in G4" is
what `keys` says (else C4), "sung by ..." the voices of the exercise (else the soprano).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.score import Note, Part, Rest, Score, Syllable
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

CASES = Path(__file__).parents[1] / "cases" / "abc"
RULE = "=====\n"
Reading = tuple[Score | None, list[Problem]]


@pytest.fixture(scope="module")
def read(chorus: Chorus) -> Callable[..., Reading]:
    """Reads a tune for the soprano, or for the given voices."""

    def read_text(text: str, *voices: str) -> Reading:
        notation = Notation("abc", text, Place("case.md"))
        return read_abc(notation, chorus, voices or ("soprano",))

    return read_text


def told(reading: Reading, tonic: Pitch) -> str:
    """A reading in the form of the cases."""
    score, problems = reading
    if problems:
        assert score is None
        return "".join(
            f"{p.place.line}:{p.place.column} {p.code} {p.message}\n    {p.hint}\n"
            for p in problems
        )
    assert score is not None
    lines = [_told_score(score)]
    shown: set[str] = set()
    for part in score.parts:
        if part.voice not in shown:
            shown |= set(part.shares)
            joint = "+" if part.same_staff else " "
            lines.append(f"{joint.join(part.shares)}: {_told_part(part, score, tonic)}")
            lines += [f"    {d.sign} {d.onset}-{d.end}" for d in part.dynamics if d.end is not None]
            lines += [f"    {d.sign} {d.onset}" for d in part.dynamics if d.end is None]
    return "\n".join(lines) + "\n"


def _told_score(score: Score) -> str:
    text = f"{score.meter} {score.mode}, length {score.length}, bars at "
    text += " ".join(map(str, score.bar_starts))
    return text + (f", pickup {score.pickup}" if score.pickup else "")


def _told_part(part: Part, score: Score, tonic: Pitch) -> str:
    text, bars = "", list(score.bar_starts[1:])
    for event in part.events:
        crossed = sum(start <= event.onset for start in bars)
        text += " |" * crossed if crossed else "," if text else ""
        bars = bars[crossed:]
        text += " " + _told_event(event, part, score, tonic)
    return text.strip()


def _told_event(event: Note | Rest, part: Part, score: Score, tonic: Pitch) -> str:
    words = ["0", str(event.duration)]
    if isinstance(event, Note):
        words[0] = str(sounding_pitch(event, part, tonic, score.mode))
        if any(event.syllables):
            words.append("/".join(_told_syllable(s) for s in event.syllables))
    words += [f"^{hold.onset}-{hold.end}" for hold in event.holds]
    return " ".join(words + ["v"] * (event.breath is not None))


def _told_syllable(syllable: Syllable | None) -> str:
    if syllable is None:
        return "*"
    return syllable.text.replace(" ", "~") + "-" * syllable.joined + "_" * syllable.held


@pytest.mark.parametrize("path", sorted(CASES.glob("*.txt")), ids=lambda path: path.stem)
def test_case_is_read_as_written_down(path: Path, read: Callable[..., Reading]) -> None:
    text, _, below = path.read_text(encoding="utf-8").partition(RULE)
    tonic, voices, expected = "C4", [], ""
    for line in below.splitlines(keepends=True):
        if line.startswith("in "):
            tonic = line.removeprefix("in ").strip()
        elif line.startswith("sung by "):
            voices = line.removeprefix("sung by ").split()
        elif not line.startswith("#"):
            expected += line
    assert expected.strip()
    assert told(read(text, *voices), Pitch.parse(tonic)) == expected
