"""Golden cases of `degrees`: each file in tests/cases/degrees holds a text and its reading.

Below the line of = stands what is read: first the meter, mode, length in quarters and the starts of
the bars; then, for each voice, its sounding pitches with durations in quarters, syllables and
marks; or else the problems, each with its hint. A line with # explains; "in D4" sets the tonic,
"sung by ..." the voices of the exercise.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.score import Note, Part, Rest, Score, Syllable
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

CASES = Path(__file__).parents[2] / "cases" / "degrees"
RULE = "=====\n"
SPOKEN = {"middle": "x", "high": "x'", "low": "x,"}
BREATHS = {"breath": "v", "staggered": "v?"}


def told(score: Score | None, problems: list[Problem], tonic: Pitch) -> str:
    """A reading in the form of the cases."""
    if problems:
        return "".join(
            f"{p.place.line}:{p.place.column} {p.code} {p.message}\n    {p.hint}\n"
            for p in problems
        )
    assert score is not None
    lines = [_told_score(score)]
    shown: set[str] = set()
    for part in score.parts:
        if part.voice not in shown:
            alike = [p for p in score.parts if p.voice in part.shares and p.octave == part.octave]
            shown |= {p.voice for p in alike}
            joint = " + " if part.same_staff else " "
            lines.append(f"{joint.join(p.voice for p in alike)}: {_told_part(part, score, tonic)}")
            if part.dynamics:
                lines.append("    " + _told_dynamics(part))
    return "\n".join(lines) + "\n"


def _told_score(score: Score) -> str:
    text = f"{score.meter} {score.mode}, length {score.length}, bars at "
    text += " ".join(map(str, score.bar_starts))
    if score.pickup:
        text += f", pickup {score.pickup}"
    if score.holds:
        text += ", holds " + " ".join(f"{h.onset}-{h.end}" for h in score.holds)
        text += f", sounds {score.sounding()(score.length)}"
    return text


def _told_part(part: Part, score: Score, tonic: Pitch) -> str:
    text, bars = "", list(score.bar_starts[1:])
    for event in part.events:
        crossed = sum(start <= event.onset for start in bars)
        text += " |" * crossed if crossed else "," if text else ""
        bars = bars[crossed:]
        text += " " + _told_event(event, part, score, tonic)
    return text.strip()


def _told_event(event: Note | Rest, part: Part, score: Score, tonic: Pitch) -> str:
    if isinstance(event, Rest):
        words = ["0", str(event.duration)]
    else:
        head = (
            SPOKEN[event.spoken]
            if event.spoken
            else str(sounding_pitch(event, part, tonic, score.mode))
        )
        words = [head + "?" * event.easy, str(event.duration)]
        if any(event.syllables):
            words.append("/".join(_told_syllable(s) for s in event.syllables))
        if event.glide_at is not None:
            words.append(f"~{event.glide_at}")
        words += [f"v?@{offset}" for offset in event.staggered]
    words += [f"^{hold.onset}-{hold.end}" for hold in event.holds]
    if event.breath:
        words.append(BREATHS[event.breath])
    return " ".join(words)


def _told_syllable(syllable: Syllable | None) -> str:
    if syllable is None:
        return "*"
    return syllable.text.replace(" ", "~") + "-" * syllable.joined + "_" * syllable.held


def _told_dynamics(part: Part) -> str:
    return ", ".join(
        f"{d.sign} {d.onset}" + (f"-{d.end}" if d.end is not None else "") for d in part.dynamics
    )


def split_case(path: Path) -> tuple[str, str, str, tuple[str, ...]]:
    """Text, expected reading, tonic and voices of a case."""
    text, _, expected = path.read_text(encoding="utf-8").partition(RULE)
    tonic, voices, lines = "C4", (), []
    for line in expected.splitlines():
        if line.startswith("in "):
            tonic = line.removeprefix("in ")
        elif line.startswith("sung by "):
            voices = tuple(line.removeprefix("sung by ").split())
        elif not line.startswith("#"):
            lines.append(line + "\n")
    return text, "".join(lines), tonic, voices


@pytest.mark.parametrize("path", sorted(CASES.glob("*.txt")), ids=lambda path: path.stem)
def test_case_is_read_as_written_down(
    path: Path, read: Callable[..., object], as_recorded: Callable[[Path, str], None]
) -> None:
    text, _, tonic, voices = split_case(path)
    score, problems = read(text, voices)
    as_recorded(path, told(score, problems, Pitch.parse(tonic)))
