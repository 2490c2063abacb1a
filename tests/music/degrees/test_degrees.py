"""Golden cases of `degrees`: each file in tests/cases/degrees holds a text and its reading, as data
that any implementation can be held to. The README there says what the fields mean.

HANDBOOK_RECORD=1 records the readings again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.score import Dynamic, Note, Part, Rest, Score, Span, Syllable
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

CASES = Path(__file__).parents[2] / "cases" / "degrees"
FILES = sorted(path for path in CASES.glob("*.json") if path.name != "chorus.json")

Read = Callable[..., tuple[Score | None, list[Problem]]]


def as_data(score: Score | None, problems: Sequence[Problem], tonic: Pitch) -> dict[str, Any]:
    """A reading in the form of the cases."""
    if problems:
        return {"problems": [_problem(problem) for problem in problems]}
    assert score is not None
    data: dict[str, Any] = {
        "meter": str(score.meter),
        "mode": score.mode,
        "length": _time(score.length),
        "bars": [_time(start) for start in score.bar_starts],
    }
    if score.pickup:
        data["pickup"] = _time(score.pickup)
    if score.fermatas:
        data["fermatas"] = _spans(score.fermatas)
        data["sounding_length"] = _time(score.sounding()(score.length))
    data["parts"] = list(_parts(score, tonic))
    return {"score": data}


def _parts(score: Score, tonic: Pitch) -> list[dict[str, Any]]:
    parts: list[dict[str, Any]] = []
    shown: set[str] = set()
    for part in score.parts:
        if part.voice not in shown:
            alike = [p for p in score.parts if p.voice in part.shares and p.octave == part.octave]
            shown |= {p.voice for p in alike}
            parts.append(_part([p.voice for p in alike], part, score, tonic))
    return parts


def _part(voices: list[str], part: Part, score: Score, tonic: Pitch) -> dict[str, Any]:
    data: dict[str, Any] = {"voices": voices}
    if part.same_staff:
        data["same_staff"] = True
    data["events"] = [_event(event, part, score, tonic) for event in part.events]
    if part.dynamics:
        data["dynamics"] = [_dynamic(dynamic) for dynamic in part.dynamics]
    return data


def _event(event: Note | Rest, part: Part, score: Score, tonic: Pitch) -> dict[str, Any]:
    data: dict[str, Any] = {"onset": _time(event.onset), "duration": _time(event.duration)}
    if isinstance(event, Rest):
        data["rest"] = True
    elif event.spoken:
        data["spoken"] = event.spoken
    else:
        data["pitch"] = str(sounding_pitch(event, part, tonic, score.mode))
    if isinstance(event, Note):
        if any(event.syllables):
            data["syllables"] = [_syllable(syllable) for syllable in event.syllables]
        if event.easy:
            data["easy"] = True
        if event.glide_at is not None:
            data["glide_at"] = _time(event.glide_at)
        if event.staggered:
            data["staggered_at"] = [_time(offset) for offset in event.staggered]
    if event.fermatas:
        data["fermatas"] = _spans(event.fermatas)
    if event.breath:
        data["breath"] = event.breath
    return data


def _syllable(syllable: Syllable | None) -> dict[str, Any] | None:
    if syllable is None:
        return None
    data: dict[str, Any] = {"text": syllable.text}
    if syllable.joined:
        data["hyphen"] = True
    if syllable.melisma:
        data["held"] = syllable.melisma
    return data


def _dynamic(dynamic: Dynamic) -> dict[str, Any]:
    end = {} if dynamic.end is None else {"end": _time(dynamic.end)}
    return {"onset": _time(dynamic.onset), "sign": dynamic.sign, **end}


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        "line": problem.place.line,
        "column": problem.place.column,
        "code": problem.code,
        "message": problem.message,
        "hint": problem.hint,
    }


def _spans(spans: Sequence[Span]) -> list[list[int | str]]:
    return [[_time(span.onset), _time(span.end)] for span in spans]


def _time(quarters: Fraction) -> int | str:
    return int(quarters) if quarters.denominator == 1 else str(quarters)


def written_down(case: dict[str, Any]) -> str:
    """A case as its file holds it: a line for each event, and for all else that is short."""
    return _laid_out(case, 0) + "\n"


def _laid_out(value: Any, depth: int) -> str:
    flat = json.dumps(value, ensure_ascii=False)
    whole = depth > 2 or not isinstance(value, list) or not any(" " in str(v) for v in value)
    if not isinstance(value, (dict, list)) or (depth and whole and len(flat) + depth < 100):
        return flat
    inner = " " * (depth + 2)
    if isinstance(value, dict):
        rows = [f"{json.dumps(k)}: {_laid_out(v, depth + 2)}" for k, v in value.items()]
    else:
        rows = [_laid_out(item, depth + 2) for item in value]
    return f"{flat[0]}\n{inner}" + f",\n{inner}".join(rows) + f"\n{' ' * depth}{flat[-1]}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_case_is_read_as_written_down(path: Path, read: Read) -> None:
    case = json.loads(path.read_text(encoding="utf-8"))
    tonic = Pitch.parse(case.get("tonic", "C4"))
    reading = as_data(*read("\n".join(case["text"]), case.get("voices", ())), tonic)
    if os.environ.get("HANDBOOK_RECORD") == "1":
        asked = {k: v for k, v in case.items() if k not in ("score", "problems")}
        path.write_text(written_down({**asked, **reading}), encoding="utf-8")
        return
    assert reading == {k: v for k, v in case.items() if k in ("score", "problems")}
    assert set(case) <= {"about", "tonic", "voices", "text", "score", "problems"}


def test_the_cases_are_of_this_chorus(chorus: Chorus) -> None:
    stated = json.loads((CASES / "chorus.json").read_text(encoding="utf-8"))
    octaves = {name: voice.octave for name, voice in chorus.voices.items()}
    assert stated["voices"] == octaves
    assert stated["groups"] == {name: list(voices) for name, voices in chorus.groups.items()}
    assert stated["leader"] == chorus.leader.octave
