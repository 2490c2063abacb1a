"""Golden cases of score files: each NAME.musicxml (or .mxl) in tests/cases/musicxml stands beside
NAME.txt, which holds its reading, worked by hand.

The first line has the meter, the mode and its tonic, the length in quarters, the starts of the
bars, a pickup and where all hold. A line for each line of the chorus follows: its sounding pitches
with those below them (+), grace notes before them, durations in quarters, syllables (- joined, _
held over a further note), and marks: ~ glides on, ^ held, v breath, accents. Under it stand slurs,
hairpins and dynamics. A line with # explains. HANDBOOK_RECORD=1 in the environment writes the
readings anew.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import etree

from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.musicxml.container import read_score
from chorus_handbook.music.musicxml.make_schema import make
from chorus_handbook.music.musicxml.schema import SCHEMA_FILE, schema_errors
from chorus_handbook.music.score import Note, Part, Rest, Score, Syllable
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

CASES = Path(__file__).parents[2] / "cases" / "musicxml"
FILES = sorted([*CASES.glob("*.musicxml"), *CASES.glob("*.mxl")])
Reading = tuple[Score | None, list[Problem]]
by_name = pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)


def reported(score: Score) -> str:
    """A reading in the form of the cases."""
    assert score.file is not None
    tonic = score.file.tonic
    lines = [_told_score(score, tonic)]
    shown: set[str] = set()
    for part in score.parts:
        if part.voice not in shown:
            shown |= set(part.shares)
            lines.append(f"{' '.join(part.shares)}: {_told_part(part, score, tonic)}")
            lines += [f"    ( {slur.onset}-{slur.end}" for slur in part.slurs]
            lines += [f"    {d.sign} {d.onset}-{d.end}" for d in part.dynamics if d.end is not None]
            lines += [f"    {d.sign} {d.onset}" for d in part.dynamics if d.end is None]
    return "\n".join(lines) + "\n"


def _told_score(score: Score, tonic: Pitch) -> str:
    text = f"{score.meter} {score.mode} on {tonic}, length {score.length}, bars at "
    text += " ".join(map(str, score.bar_starts))
    text += f", pickup {score.pickup}" if score.pickup else ""
    return text + "".join(f", holds {fermata.onset}-{fermata.end}" for fermata in score.fermatas)


def _told_part(part: Part, score: Score, tonic: Pitch) -> str:
    text, bars = "", list(score.bar_starts[1:])
    for event in part.events:
        crossed = sum(start <= event.onset for start in bars)
        text += " |" * crossed if crossed else "," if text else ""
        bars = bars[crossed:]
        text += " " + " ".join(_told_event(event, part, score, tonic))
    return text.strip()


def _told_event(event: Note | Rest, part: Part, score: Score, tonic: Pitch) -> list[str]:
    words = ["0", str(event.duration)]
    if isinstance(event, Note):
        words[0] = _told_pitch(event, part, score, tonic)
        if any(event.syllables):
            words.append("/".join(_told_syllable(s) for s in event.syllables))
        words += ["~"] * (event.glide_at is not None)
        words += event.accents
    words += [f"^{fermata.onset}-{fermata.end}" for fermata in event.fermatas]
    return words + ["v"] * (event.breath is not None)


def _told_pitch(note: Note, part: Part, score: Score, tonic: Pitch) -> str:
    if note.spoken:
        return {"middle": "x", "high": "x'", "low": "x,"}[note.spoken]
    own = tonic.moved(7 * part.octave, 12 * part.octave)
    graces = ",".join(str(degree.in_key(own, score.mode)) for degree in note.graces)
    pitches = "+".join(map(str, sounding_pitches(note, part, tonic, score.mode)))
    return f"({graces}){pitches}" if graces else pitches


def _told_syllable(syllable: Syllable | None) -> str:
    if syllable is None:
        return "*"
    return syllable.text + "-" * syllable.joined + "_" * syllable.melisma


def _read(path: Path, read: Callable[..., Reading]) -> Score:
    score, problems = read(read_score(path), path.name)
    assert problems == []
    assert score is not None
    return score


@by_name
def test_case_is_read_as_written_down(path: Path, read: Callable[..., Reading]) -> None:
    below = path.with_suffix(".txt").read_text(encoding="utf-8").splitlines(keepends=True)
    found = reported(_read(path, read))
    if os.environ.get("HANDBOOK_RECORD") == "1":  # then read what changed
        remarks = (line for line in below if line.startswith("#"))
        path.with_suffix(".txt").write_text("".join(remarks) + found, encoding="utf-8")
        return
    expected = "".join(line for line in below if not line.startswith("#"))
    assert expected.strip()
    assert found == expected


#: Cases that music21 cannot read, or reads otherwise, and why.
NOT_ALIKE = {
    "cue-in-chord": "whether a whole chord is a cue, its first note says there",
    "grace": "a grace note inside a chord is a note there",
    "repeat-in-first-part-only": "repeats count for the part that has them there",
    "tie-in-chord": "each note of a chord has ties of its own there; here a voice moves together",
    "tie-over-repeat": "a tie into a repeat joins what is not sung together",
    "timewise": "music21 reads the partwise form only",
    "utf-16": "music21 is given text",
    "words-on-tied-notes": "here a note with a syllable is sung, tied or not",
}


@pytest.mark.parametrize(
    "path", [path for path in FILES if path.stem not in NOT_ALIKE], ids=lambda path: path.stem
)
def test_case_sounds_as_another_program_reads_it(
    path: Path,
    read: Callable[..., Reading],
    sounds: Callable[[Score], object],
    music21_sounds: Callable[..., object],
) -> None:
    """music21 as an independent reader: onset, length and pitch, of those who sing what is written
    (the others sing it in octaves)."""
    score = _read(path, read)
    own = tuple(part for part in score.parts if part.voice == (part.shares or (part.voice,))[0])
    assert sounds(replace(score, parts=own)) == music21_sounds(read_score(path), unfold=True)


def test_every_case_has_its_file() -> None:
    assert {path.stem for path in CASES.glob("*.txt")} == {path.stem for path in FILES}
    assert len(FILES) > 30


@by_name
def test_file_for_the_engraver_has_the_ids_of_the_notes(
    path: Path, read: Callable[..., Reading]
) -> None:
    """Every note is found by its id, or by that of the note that is drawn for it; what is tied to
    a note follows it by a number."""
    score = _read(path, read)
    assert score.file is not None
    ids = [
        str(note.get("id")) for note in etree.fromstring(score.file.xml).iterfind(".//note[@id]")
    ]
    assert len(ids) == len(set(ids))
    sung = {note.drawn or note.id for part in score.parts for note in part.notes}
    assert sung.isdisjoint({id_ for id_ in ids if id_.count("-") > 1})
    first_lines = {id_ for id_ in ids if id_.count("-") == 1}
    assert {id_ for id_ in sung if id_ in ids} == first_lines
    own = [part for part in score.parts if part.voice == part.shares[0]]
    assert {note.drawn or note.id for part in own for note in part.notes} <= set(ids)


@by_name
def test_file_for_the_engraver_is_the_author_s_own(
    path: Path, read: Callable[..., Reading]
) -> None:
    """Apart from ids, comments and the document type nothing changes."""
    score = _read(path, read)
    assert score.file is not None
    theirs = etree.fromstring(read_score(path), etree.XMLParser(remove_comments=True))
    ours = etree.fromstring(score.file.xml)
    assert list(schema_errors(etree.ElementTree(ours))) == []
    if theirs.tag == "score-timewise":  # the other order of the same
        assert [str(n.tag) for n in ours.iter("measure", "part")] == [
            *["part", *["measure"] * 2] * 2
        ]
        return
    for note in ours.iter("note"):
        note.attrib.pop("id", None)
    assert etree.tostring(ours, method="c14n") == etree.tostring(theirs, method="c14n")


def test_ids_of_the_author_s_go(read: Callable[..., Reading]) -> None:
    """So that none of them can be taken for one of ours."""
    document = (CASES / "minor.musicxml").read_text(encoding="utf-8")
    named = document.replace("<note>", '<note id="alto-1">', 1).replace(
        '<measure number="2">', '<measure number="2" id="alto-2">'
    )
    score, problems = read(named)
    assert problems == []
    plain, _ = read(document)
    assert score and score.file and plain and plain.file
    assert score.file.xml == plain.file.xml


def test_repeat_is_drawn_once(read: Callable[..., Reading]) -> None:
    score = _read(CASES / "repeat-endings-verses.musicxml", read)
    assert [note.id for note in score.parts[0].notes] == [f"soprano-{n}" for n in range(1, 8)]
    drawn = [note.drawn for note in score.parts[0].notes]
    assert drawn == [None, None, None, "soprano-1", "soprano-2", None, None]


@pytest.mark.parametrize(
    ("name", "tenor"), [("All", "G3"), ("", "G3"), ("Lower", "G4"), ("Soprano + Tenor", "G4")]
)
def test_one_line_of_a_mixed_chorus_is_sung_in_octaves(
    name: str, tenor: str, read: Callable[..., Reading]
) -> None:
    """As a line of `degrees` is; voices joined with + sing the same notes."""
    document = (CASES / "minor.musicxml").read_text(encoding="utf-8")
    note = "<note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration></note>"
    head, _, _ = document.partition("<part-list>")
    score, problems = read(
        f'{head}<part-list><score-part id="P1"><part-name>{name}</part-name></score-part>'
        '</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>'
        f"</attributes>{note}</measure></part></score-partwise>"
    )
    assert score is not None and problems == []
    part = next(part for part in score.parts if part.voice == "tenor")
    pitches = sounding_pitches(part.notes[0], part, Pitch.parse("C4"), score.mode)
    assert [str(pitch) for pitch in pitches] == [tenor]


def test_the_schema_is_the_published_one() -> None:
    """The XSD of MusicXML 4.0 (W3C Music Notation Community Group), as a package carries it."""
    assert SCHEMA_FILE.read_bytes() == make()


def test_a_glide_over_tied_notes_starts_with_the_last_of_them(read: Callable[..., Reading]) -> None:
    note = (
        "<note><pitch><step>{}</step><octave>4</octave></pitch><duration>2</duration>{}"
        "<voice>1</voice><type>half</type><notations>{}</notations></note>"
    )
    glide = '<glissando type="start" number="1"/>'
    document = (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Alto</part-name>'
        '</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1'
        "</divisions><time><beats>6</beats><beat-type>4</beat-type></time></attributes>"
        + note.format("C", '<tie type="start"/>', '<tied type="start"/>' + glide)
        + note.format("C", '<tie type="stop"/>', '<tied type="stop"/>')
        + note.format("D", "", '<glissando type="stop" number="1"/>')
        + "</measure></part></score-partwise>"
    )
    score, problems = read(document)
    assert problems == []
    assert score is not None
    assert [note.glide_at for note in score.parts[0].notes] == [2, None]
