"""Golden cases of ABC: each file in tests/cases/abc holds a tune and its reading, worked by hand.

Below the line of = stands what is read: first the meter, mode, length in quarters and the starts of
the bars; then, for each line of the chorus, its sounding pitches with durations in quarters,
syllables and marks, "G4+E4" where a voice divides, grace notes in { }, and slurs with ( and the
moments at which their first note begins and their last ends; or else the problems, each with its
hint. A line with # explains; "in G4" is what `keys` says (else C4), "sung by ..." the voices of the
exercise (else the soprano). HANDBOOK_RECORD=1 in the environment writes the readings anew.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.measure import sounding_pitch, sounding_pitches
from chorus_handbook.music.score import Note, Part, Rest, Score, Syllable
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

CASES = Path(__file__).parents[2] / "cases" / "abc"
RULE = "=====\n"
#: Lines that are not part of the reading.
REMARKS = ("#", "in ", "sung by ")
Reading = tuple[Score | None, list[Problem]]


@pytest.fixture(scope="module")
def read(chorus: Chorus) -> Callable[..., Reading]:
    """Reads a tune for the soprano, or for the given voices."""

    def read_text(text: str, *voices: str) -> Reading:
        notation = Notation("abc", text, Place("case.md"))
        return read_abc(notation, chorus, voices or ("soprano",))

    return read_text


def reported(reading: Reading, tonic: Pitch) -> str:
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
            lines += [f"    ( {slur.onset}-{slur.end}" for slur in part.slurs]
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
        words[0] = "+".join(map(str, sounding_pitches(event, part, tonic, score.mode)))
        if event.graces:
            quick = (replace(event, degree=degree) for degree in event.graces)
            names = (str(sounding_pitch(note, part, tonic, score.mode)) for note in quick)
            words.insert(0, "{" + " ".join(names) + "}")
        if any(event.syllables):
            words.append("/".join(_told_syllable(s) for s in event.syllables))
        words += event.accents
    words += [f"^{fermata.onset}-{fermata.end}" for fermata in event.fermatas]
    return " ".join(words + ["v"] * (event.breath is not None))


def _told_syllable(syllable: Syllable | None) -> str:
    if syllable is None:
        return "*"
    return syllable.text.replace(" ", "~") + "-" * syllable.joined + "_" * syllable.melisma


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
    found = reported(read(text, *voices), Pitch.parse(tonic))
    if os.environ.get("HANDBOOK_RECORD") == "1":  # then read what changed
        remarks = [line for line in below.splitlines(keepends=True) if line.startswith(REMARKS)]
        path.write_text(text + RULE + "".join(remarks) + found, encoding="utf-8")
        return
    assert expected.strip()
    assert found == expected


HEAD = "M:3/4\nL:1/4\nK:G\n"
FORMS = {
    "in the head": "V:alto\nV:bass clef=bass\n[V:alto] GAB |\n[V:bass] G,2 D, |\n"
    "[V:alto] c3 |\n[V:bass] C,3 |\n",
    "line by line": "V:alto\nGAB |\nV:bass clef=bass\nG,2 D, |\nV:alto\nc3 |\nV:bass\nC,3 |\n",
    "one after the other": "V:bass clef=bass\nG,2D, | C,3 |\nV:alto\nGAB | c3 |\n",
    "inside a line": "[V:alto] GAB | [V:bass clef=bass] G,2 D, | [V:alto] c3 | [V:bass] C,3 |\n",
    "by name": 'V:1 name="Alto"\nV:2 nm="Bass"\n[V:1] GAB | c3 |\n[V:2] G,2 D, | C,3 |\n',
    "moved by octaves": "V:alto octave=-1\ngab | c'3 |\nV:bass clef=bass-8\nG2D | C3 |\n",
}


@pytest.mark.parametrize("form", FORMS)
def test_forms_of_voices_are_alike(form: str, read: Callable[..., Reading]) -> None:
    """Section 7 of the standard: the same voices, however they are written."""
    score, problems = read(HEAD + FORMS[form])
    assert problems == []
    assert score is not None
    tonic = Pitch.parse("G4")
    assert {
        part.voice: " ".join(str(sounding_pitch(n, part, tonic, score.mode)) for n in part.notes)
        for part in score.parts
    } == {"alto": "G4 A4 B4 C5", "bass": "G3 D3 C3"}


@pytest.mark.parametrize(
    ("head", "octaves"),
    [
        ("", {"soprano": "C4", "alto": "C4", "tenor": "C3", "bass": "C3"}),
        ("V:all\n", {"soprano": "C4", "alto": "C4", "tenor": "C3", "bass": "C3"}),
        ("V:lower\n", {"tenor": "C4", "bass": "C4"}),
        ("V:soprano+bass\n", {"soprano": "C4", "bass": "C4"}),
    ],
)
def test_one_line_of_a_mixed_chorus_is_sung_in_octaves(
    head: str, octaves: dict[str, str], read: Callable[..., Reading]
) -> None:
    """As a line of `degrees` is; voices joined with + sing the same notes."""
    text = f"M:2/4\nL:1/4\nK:C\n{head}C2 |\n"
    score, problems = read(text, "soprano", "alto", "tenor", "bass")
    assert score is not None and problems == []
    tonic = Pitch.parse("C4")
    assert {
        part.voice: str(sounding_pitch(part.notes[0], part, tonic, score.mode))
        for part in score.parts
    } == octaves


def test_parallel_octaves_are_one_line(read: Callable[..., Reading]) -> None:
    """A part is written in its voice's own octave, so that tenors who sing what sopranos sing, an
    octave lower, have the same degrees."""
    score, _ = read("M:2/4\nL:1/4\nK:D\nV:soprano\nDE|\nV:tenor clef=treble-8\nDE|\n")
    assert score is not None
    high, low = score.parts
    assert (high.octave, low.octave) == (0, -1)
    assert [n.degree for n in high.notes] == [n.degree for n in low.notes]
