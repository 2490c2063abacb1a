"""Tunes with one voice against an independent reader, music21, on the tunes that it is tested with.

It is right where there is one voice and accidentals hold within a bar in one octave only; its
reading of several voices is not (it merges them), so tunes with V: are left to the hand-worked
cases.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.abc.keys import read_key
from chorus_handbook.music.measure import sounding_pitch, sounding_pitches
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place

Notes = list[tuple[str, Fraction]]

#: What the handbook leaves out and says so: chord symbols, decorations, and the fields that go with
#: them. Grace notes and slurs have a test of their own; many slurs in these tunes have no start.
_LEFT_OUT = re.compile(r'"[^"\n]*"|\{[^}\n]*\}|\((?!\d)|\)|![^!\n]*!|[~!]|(?m:^[WUI]:.*\n)')
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


#: Slurs, divided notes, grace notes and staccato, as far as the other reader knows them: it takes
#: no accidentals of chords to hold, and gives them no ties, slurs, staccato or broken rhythm.
ORNAMENTED = """X:1
M:4/4
L:1/4
K:G
(G A) [GB]2 | {d}B (c {ef}d) .e | [FAc]2 [G,D].B | (G (A B)) {^c}G | [EF]/[FG]/ z3 |
(3(GAB) (.c/d/ .e) | [DG]4 | {G}[Bd]2 F- F |]
"""


def test_ornaments_are_read_as_another_program_reads_them(chorus: Chorus) -> None:
    from music21 import converter, spanner, stream

    theirs = converter.parse(ORNAMENTED, format="abc")
    assert isinstance(theirs, stream.Score)
    score, problems = read_abc(Notation("abc", ORNAMENTED, Place("t.md")), chorus, ("soprano",))
    assert problems == []
    assert score is not None
    (part,) = score.parts
    tonic = Pitch.parse("G4")
    ours, quick = [], []
    for note in part.notes:
        pitches = sorted(p.midi for p in sounding_pitches(note, part, tonic, score.mode))
        ours.append((note.onset, note.duration, pitches, "staccato" in note.accents))
        graces = [replace(note, degree=degree) for degree in note.graces]
        quick += [sounding_pitch(g, part, tonic, score.mode).midi for g in graces]
    flat = theirs.parts[0].stripTies().flatten()
    heard = [note for note in flat.notes if not note.duration.isGrace]
    assert ours == [
        (
            Fraction(note.offset).limit_denominator(96),
            Fraction(note.quarterLength).limit_denominator(96),
            sorted(pitch.midi for pitch in note.pitches),
            bool(note.articulations),
        )
        for note in heard
    ]
    assert quick == [n.pitches[0].midi for n in flat.notes if n.duration.isGrace]
    slurs = list(theirs.recurse().getElementsByClass(spanner.Slur))
    ends = sorted(
        (float(first.getOffsetInHierarchy(theirs)), float(last.getOffsetInHierarchy(theirs)))
        for first, last in ((s.getFirst(), s.getLast()) for s in slurs)
    )
    last_onset = {note.end: note.onset for note in part.notes}
    assert len(ends) >= 6
    assert [(float(s.onset), float(last_onset[s.end])) for s in part.slurs] == ends
