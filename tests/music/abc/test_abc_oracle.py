"""Tunes with one voice against an independent reader, music21, on the tunes that it is tested with.

It is right where there is one voice and accidentals hold within a bar in one octave only; its
reading of several voices is not (it merges them), so tunes with V: are left to the hand-worked
cases.
"""

from __future__ import annotations

import re
from fractions import Fraction

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.abc.keys import read_key
from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place

Notes = list[tuple[str, Fraction]]

#: What the handbook leaves out and says so: chord symbols, grace notes, decorations, and the fields
#: that go with them.
_LEFT_OUT = re.compile(r'"[^"\n]*"|\{[^}\n]*\}|![^!\n]*!|[~!]|(?m:^[WUI]:.*\n)')
_LETTERS = re.compile(r"(?m)^(?![A-Za-z]:|%).*$")


def plain(text: str) -> str:
    """A tune without what the handbook leaves out."""
    text = _LEFT_OUT.sub("", text.strip("\n")).replace("\n\n", "\n")
    return _LETTERS.sub(lambda line: re.sub(r"[.uvTMKk]", "", line[0]), text)


def ours(score: Score, text: str) -> Notes:
    key = re.search(r"(?m)^K:(.*)$", text)
    assert key
    tonic = read_key(key[1])[0].tonic
    part = score.parts[0]
    return [(str(sounding_pitch(n, part, tonic, score.mode)), n.duration) for n in part.notes]


def theirs(text: str) -> Notes:
    from music21 import converter, stream

    score = converter.parse(text, format="abc")
    assert isinstance(score, stream.Score)
    part = score.parts[0]
    if part.getElementsByClass(stream.Measure):
        part = part.expandRepeats()
    notes = part.stripTies().recurse().notes
    return [
        (n.pitch.nameWithOctave.replace("-", "b"), Fraction(n.quarterLength))
        for n in notes
        if n.isNote
    ]


def test_tunes_are_read_as_another_program_reads_them(chorus: Chorus) -> None:
    from music21.abcFormat import testFiles

    texts = [t for name, t in vars(testFiles).items() if isinstance(t, str) and name[0] != "_"]
    compared = notes = 0
    for text in texts:
        if "V:" in text or text.count("X:") > 1:
            continue
        tune = plain(text)
        score, problems = read_abc(Notation("abc", tune, Place("tune.md")), chorus, ("soprano",))
        if score is None:
            assert all(problem.hint for problem in problems)
            continue
        assert ours(score, tune) == theirs(tune), tune[:60]
        compared += 1
        notes += len(score.parts[0].notes)
    assert compared >= 17
    assert notes >= 1500
