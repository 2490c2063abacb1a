"""The MusicXML test suite of the LilyPond project, as the library music21 ships it: every file is
read or refused with a clear problem, and what is read sounds as music21 reads it.

Parts are named after voices of a test chorus first. music21's reading is taken at sounding pitch,
ties joined; grace notes, cues, chord symbols and notes with crosses for heads are left out of it,
as they are spoken or not sung here.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.musicxml.container import read_score
from chorus_handbook.music.musicxml.reader import read_document
from chorus_handbook.music.score import Score

Sounds = Callable[[Score], set[tuple[object, object, int]]]
Theirs = Callable[..., set[tuple[object, object, int]]]


def _suite() -> list[Path]:
    from importlib.util import find_spec

    found = find_spec("music21")
    assert found and found.origin
    folder = Path(found.origin).parent / "musicxml" / "lilypondTestSuite"
    return sorted([*folder.glob("*.xml"), *folder.glob("*.mxl")])


FILES = _suite()

#: Not valid against the schema of MusicXML 4.0, with markup that no singer needs taken out: the
#: line, and part of the message. (01e, 74a and 99d are invalid only in such markup.)
INVALID = {"41g-PartNoId": (16, "The attribute 'id' is required")}

#: Valid files that the handbook has no place for: line, code and part of the message.
REFUSED = {
    "01d-Pitches-Microtones": (36, "notation-token", "altered by -1.5 semitones"),
    "01f-Pitches-EditorialMicrotoneAccidentals": (36, "notation-token", "altered by -0.5"),
    "11b-TimeSignatures-NoTime": (32, "notation-token", "384 quarters"),
    "13aa-KeySignatures-Extreme": (22, "notation-header", "11 sharps or flats"),
    "13c-KeySignatures-NonTraditional": (24, "notation-header", "neither major nor minor"),
    "13d-KeySignatures-Microtones": (23, "notation-header", "neither major nor minor"),
    # four quarters and two more in a bar of 3/4
    "33e-Spanners-OctaveShifts-InvalidSize": (
        18,
        "bar-length",
        "but a bar of 3/4 lasts 3",
    ),
    # a part that is not in the list of parts
    "41h-TooManyParts": (27, "notation-voice", "not in the file's list of parts"),
    # endings inside endings, endings for the same time, a repeat that never ends
    "45d-Repeats-Nested-Alternatives": (57, "notation-token", 'There is no ":|" at the end'),
    "45e-Repeats-Nested-Alternatives": (104, "notation-token", "no ending for time 2"),
    "45f-Repeats-InvalidEndings": (43, "notation-token", 'There is no ":|" at the end'),
    "45g-Repeats-NotEnded": (45, "notation-token", "never ends"),
}

#: Where music21 reads another thing, and why; with what stands in the file. Onset, quarters, MIDI.
MISREAD = {
    # music21 begins a new note where a direction stands between the notes of a chord
    "21f-Chord-ElementInBetween": {(0, 1, 62), (0, 1, 66), (0, 1, 69)},
    # each of the tied notes has a syllable, so it is sung: one C a bar
    "33i-Ties-NotEnded": {(4 * bar, 4, 72) for bar in range(5)},
    # a sharp before the note that no alter says: drawn, but not sounding
    "32c-MultipleNotationChildren": {(0, 1, 69), (1, 1, 69), (2, 1, 69)},
}


def _once(document: bytes) -> bytes:
    """A document without its repeats and endings."""
    root = etree.fromstring(document)
    for sign in list(root.iter("repeat", "ending")):
        above = sign.getparent()
        assert above is not None
        above.remove(sign)
    return etree.tostring(root)


def _read(document: bytes, name: str, chorus: Chorus) -> Score:
    score, problems = read_document(document, name, chorus, ())
    assert problems == []
    assert score is not None
    return score


def test_the_suite_is_there() -> None:
    names = {path.stem for path in FILES}
    assert len(names) > 140
    assert names >= {*INVALID, *REFUSED, *MISREAD}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_notes_sound_as_another_program_reads_them(
    path: Path,
    large_chorus: Chorus,
    with_voices: Callable[[bytes], bytes],
    sounds: Sounds,
    music21_sounds: Theirs,
) -> None:
    document = read_score(path)
    if path.stem in {*INVALID, *REFUSED}:
        _check_refused(path.stem, document, with_voices, large_chorus)
        return
    named = _once(with_voices(document))
    found = sounds(_read(named, path.name, large_chorus))
    if path.stem in MISREAD:
        assert found == MISREAD[path.stem]
    else:
        assert found == music21_sounds(named)


def _check_refused(
    name: str, document: bytes, with_voices: Callable[[bytes], bytes], chorus: Chorus
) -> None:
    if name in INVALID:
        line, message = INVALID[name]
        code = "score-file"
    else:
        document = with_voices(document)
        line, code, message = REFUSED[name]
    score, problems = read_document(document, name, chorus, ())
    assert score is None
    first = problems[0]
    assert (first.place.path, first.place.line, first.code) == (name, line, code)
    assert message in first.message
    assert len(first.hint) > 20


@pytest.mark.parametrize(
    ("name", "bars"),
    [
        # as the files say of themselves: one bar five times and another
        ("45a-SimpleRepeat", 6),
        # two bars, the first ending, the two again, the second ending
        ("45b-RepeatWithAlternatives", 5),
        # a bar, two bars five times, what comes behind them (four bars) three times, a bar
        ("45c-RepeatMultipleTimes", 24),
    ],
)
def test_repeats_are_unfolded(
    name: str,
    bars: int,
    large_chorus: Chorus,
    with_voices: Callable[[bytes], bytes],
    sounds: Sounds,
    music21_sounds: Theirs,
) -> None:
    (path,) = (path for path in FILES if path.stem == name)
    document = with_voices(read_score(path))
    score = _read(document, name, large_chorus)
    assert len(score.bar_starts) == bars
    assert sounds(score) == music21_sounds(document, unfold=True)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_parts_named_after_nobody_are_told_by_line(path: Path, chorus: Chorus) -> None:
    """The files as they are: no part of theirs is called after a voice of a chorus."""
    document = read_score(path)
    score, problems = read_document(document, path.name, chorus, tuple(chorus.voices))
    assert (score is None) == bool(problems)
    lines = document.count(b"\n") + 1
    for problem in problems:
        assert 1 <= problem.place.line <= lines
        assert problem.hint


def test_signs_in_several_notations_are_all_read(
    large_chorus: Chorus, with_voices: Callable[[bytes], bytes]
) -> None:
    """As the file says of itself: all three notes have a staccato and an accent."""
    (path,) = (path for path in FILES if path.stem == "32c-MultipleNotationChildren")
    score = _read(with_voices(read_score(path)), path.name, large_chorus)
    assert [set(note.accents) for note in score.parts[0].notes] == [{"staccato", "accent"}] * 3
