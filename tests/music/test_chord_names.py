"""Names of chords, against the chord kinds of MusicXML and music21; and what we chose ourselves."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from music21 import chord, harmony, key, roman

from chorus_handbook.music.chord_names import ChordName, PitchClass, name_chord
from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import Pitch, parse_interval

C = Pitch.parse("C4")
#: The chord kinds of MusicXML 4.0, and how a symbol writes them (common practice).
KINDS = {
    "major": "",
    "minor": "m",
    "augmented": "+",
    "diminished": "°",
    "dominant": "7",
    "major-seventh": "maj7",
    "minor-seventh": "m7",
    "diminished-seventh": "°7",
    "augmented-seventh": "+7",
    "half-diminished": "ø7",
    "major-minor": "m(maj7)",
    "major-sixth": "6",
    "minor-sixth": "m6",
    "dominant-ninth": "9",
    "major-ninth": "maj9",
    "minor-ninth": "m9",
    "suspended-second": "sus2",
    "suspended-fourth": "sus4",
}
#: What MusicXML has no kind for, and music21 no figure of its own: kinds with a note added
#: (common practice).
ADDED = {
    "+maj7": "M3 A5 M7",
    "7sus4": "P4 P5 m7",
    "add9": "M3 P5 M2",
    "m(add9)": "m3 P5 M2",
}


def kinds() -> dict[str, set[str]]:
    """The intervals of each chord kind, as the schema of MusicXML 4.0 describes it: "dominant
    (major triad, minor seventh)"."""
    package = find_spec("musicxml")
    assert package and package.origin
    schema = etree.parse(Path(package.origin).parent / "generate_classes/musicxml_4_0.xsd")
    (text,) = schema.xpath("//*[@name='kind-value']//*[local-name()='documentation']/text()")
    described = dict(re.findall(r"^\s+([\w-]+) \((.+)\)$", text, re.MULTILINE))
    described["dominant-seventh"] = described["dominant"]  # the ninth's description says so
    numbers = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "seventh": 7, "ninth": 2}
    letters = {"major": "M", "minor": "m", "perfect": "P", "augmented": "A", "diminished": "d"}

    def intervals(kind: str) -> set[str]:
        found: set[str] = set()
        for part in described[kind].split(", "):
            quality, _, noun = part.partition(" ")
            if part in described:
                found |= intervals(part)
            elif noun == "triad":
                found |= intervals(quality)
            elif part == "added sixth":  # major, as the name has it without another word
                found.add("M6")
            else:
                found.add(f"{letters[quality]}{numbers[noun]}")
        return found

    return {kind: intervals(kind) for kind in KINDS}


TABLE = {KINDS[kind]: names for kind, names in kinds().items()} | {
    symbol: set(names.split()) for symbol, names in ADDED.items()
}


def classes(root: PitchClass, intervals: set[str]) -> list[PitchClass]:
    """The root and the notes at these intervals above it."""
    found = [(0, 0), *map(parse_interval, sorted(intervals))]
    return [((root[0] + s) % 7, (root[1] + n) % 12) for s, n in found]


def written(one: PitchClass, tonic: Pitch) -> Pitch:
    """A pitch class in a key, with the fewest accidentals that its letter allows."""
    pitches = (tonic.moved(one[0], one[1] + 12 * octave) for octave in (-1, 0, 1))
    return min(pitches, key=lambda pitch: abs(pitch.alter))


def named(names: str, mode: str = "major") -> ChordName | None:
    """The name in C of notes written from the lowest upward."""
    notes = [Pitch.parse(f"{name}4") for name in names.split()]
    found = [(note.step, note.midi % 12) for note in notes]
    return name_chord(set(found), found[0], mode)


def symbol(names: str, mode: str = "major") -> str | None:
    name = named(names, mode)
    return name.symbol(C) if name else None


def numeral(names: str, mode: str = "major") -> str | None:
    name = named(names, mode)
    return name.numeral(mode) if name else None


@pytest.mark.parametrize("quality", TABLE)
def test_each_chord_is_known_over_its_root(quality: str) -> None:
    notes = classes((0, 0), TABLE[quality])
    assert name_chord(set(notes), (0, 0), "major") == ChordName((0, 0), quality, (0, 0))


#: What music21 calls otherwise, and why we do not.
SUFFIXES = {
    "°": "dim",
    "°7": "o7",
    "m(maj7)": "mM7",
    "+7": "7+",
    "maj9": "M9",
    "+maj7": "+M7",
    "sus4": "sus",
    "add9": "addD",
    "m(add9)": "maddD",
}
LEFT_TO_US = {
    "6": "music21 knows it as the seventh chord a third lower only",
    "m6": "music21 knows it as the half-diminished chord a third lower only",
    "7sus4": "music21 has no name for it",
    "add9": "music21 writes which note is added, and behind the bass",
    "m(add9)": "music21 writes which note is added, and behind the bass",
}


def sounding(notes: list[PitchClass], lowest: int, tonic: Pitch) -> Any:
    """The notes in a key, as music21 has them."""
    pitches = [written(one, tonic) for one in notes]
    high = [one.moved(14, 24) for place, one in enumerate(pitches) if place != lowest]
    return chord.Chord([str(one).replace("b", "-") for one in [pitches[lowest], *high]])


@settings(max_examples=40)
@given(
    st.sampled_from([q for q in TABLE if q not in LEFT_TO_US]),
    st.integers(0, 4),
    st.sampled_from("C Db D Eb E F F# Gb G Ab A Bb B".split()),
)
def test_music21_writes_the_same_symbol_in_every_key(quality: str, low: int, tonic: str) -> None:
    notes = classes((0, 0), TABLE[quality])
    low %= len(notes)
    name = name_chord(set(notes), notes[low], "major")
    assert name
    if name.quality != quality:  # the other name of the same notes
        assert name.quality in LEFT_TO_US or {name.quality, quality} == {"sus2", "sus4"}
        assert name.root == notes[low]
        return
    sound = sounding(notes, low, Pitch.parse(f"{tonic}4"))
    root, *bass = name.symbol(Pitch.parse(f"{tonic}4")).split("/")
    letter = re.match("[A-G][♯♭]*", root)
    assert letter
    suffix = root[letter.end() :]
    ours = "/".join([letter[0] + SUFFIXES.get(suffix, suffix), *bass])
    ours = ours.replace("♯", "#").replace("♭", "-")
    theirs = harmony.chordSymbolFigureFromChord(sound)
    assert theirs in (ours, ours.replace("7+", "+7"))  # music21 has both, by inversion


@settings(max_examples=25)
@given(
    st.sampled_from("major minor".split()),
    st.tuples(st.integers(0, 6), st.integers(-1, 1)),
    st.sampled_from([q for q, names in TABLE.items() if not names & {"M2", "P4", "M6"}]),
    st.integers(0, 3),
)
def test_music21_counts_the_same_numeral(
    mode: str, degree: tuple[int, int], quality: str, low: int
) -> None:
    steps, alter = degree
    notes = classes((steps, (Degree(steps, alter).semitones(mode)) % 12), TABLE[quality])
    low %= len(notes)
    name = name_chord(set(notes), notes[low], mode)
    assert name
    if name.quality != quality:
        assert name.quality in LEFT_TO_US
        return
    sign, ours, figures = re.fullmatch(  # type: ignore[union-attr]
        "([♯♭]*)([ivIV]+)[^⁴⁶⁷]*(.*)", name.numeral(mode)
    ).groups()
    theirs = roman.romanNumeralFromChord(
        sounding(notes, low, C), key.Key("C" if mode == "major" else "c")
    )
    expected = theirs.frontAlterationString.replace("#", "♯").replace("-", "♭").replace("b", "♭")
    # music21 counts 6 and 7 of minor from where they are raised, as we do for diminished chords:
    # it writes ♭VI and ♭VII for the chords that belong to the scale.
    if mode == "minor" and steps >= 5 and "d5" not in TABLE[quality]:
        expected = {"♭♭": "♭", "♭": "", "": "♯"}[expected]
    assert (sign, ours) == (expected, theirs.romanNumeralAlone.lstrip("b#-"))
    figured = ("", "⁶", "⁶₄") if len(notes) == 3 else ("⁷", "⁶₅", "⁴₃", "⁴₂")
    assert figures == figured[theirs.inversion()]


@pytest.mark.parametrize(
    ("notes", "expected"),
    [("C E G A", "C6"), ("A C E G", "Am7"), ("G A C E", "Am7/G"), ("E G A C", "Am7/E")],
)
def test_a_sixth_or_a_seventh_by_the_lowest_note(notes: str, expected: str) -> None:
    assert symbol(notes) == expected


@pytest.mark.parametrize(
    ("notes", "expected"),
    [("C F G", "Csus4"), ("F G C", "Fsus2"), ("G C F", "G7sus4")],
)
def test_a_suspension_by_the_lowest_note(notes: str, expected: str) -> None:
    assert symbol(notes) == expected


@pytest.mark.parametrize(
    ("notes", "mode", "expected"),
    [
        ("G B F", "major", "V⁷"),
        ("F A E", "major", "IVmaj⁷"),
        ("D F C", "major", "ii⁷"),
        ("D F C", "minor", "iiø⁷"),
        ("B D A", "major", "viiø⁷"),
        ("B D# A", "major", "VII⁷"),
        ("B D Ab", "minor", "vii°⁷"),
        ("G B F A", "major", "V⁹"),
    ],
)
def test_a_missing_fifth_is_the_scales(notes: str, mode: str, expected: str) -> None:
    assert numeral(notes, mode) == expected


@pytest.mark.parametrize(
    "notes",
    ["C E F", "C D E", "C F B", "C G B", "C G Bb D", "C E Gb Bb", "C E G A#", "C Eb F# A Bb"],
)
def test_what_the_table_lacks_has_no_name(notes: str) -> None:
    assert symbol(notes) is None


@pytest.mark.parametrize(
    ("notes", "mode", "expected"),
    [
        ("Ab C Eb", "minor", "VI"),
        ("Bb D F", "minor", "VII"),
        ("B D F", "minor", "vii°"),
        ("A C Eb", "minor", "vi°"),
        ("Bb Db Fb", "minor", "♭vii°"),
        ("B D# F#", "minor", "♯VII"),
        ("Bb D F", "major", "♭VII"),
        ("Bb D F", "mixolydian", "VII"),
        ("F# A C E", "major", "♯ivø⁷"),
        ("D F# A", "major", "II"),
        ("Eb G B", "minor", "III+"),
        ("C Eb G B", "minor", "imaj⁷"),
    ],
)
def test_numerals_count_along_the_mode(notes: str, mode: str, expected: str) -> None:
    """Harmony textbooks, common practice."""
    assert numeral(notes, mode) == expected


def test_figures_say_which_note_is_lowest() -> None:
    """Figured bass, common practice."""
    triad = [numeral(notes) for notes in ("C E G", "E G C", "G C E")]
    seventh = [numeral(notes) for notes in ("G B D F", "B D F G", "D F G B", "F G B D")]
    assert triad == ["I", "I⁶", "I⁶₄"]
    assert seventh == ["V⁷", "V⁶₅", "V⁴₃", "V⁴₂"]


def test_every_name_has_a_symbol_and_a_numeral_of_its_own() -> None:
    names = [ChordName((0, 0), quality, (0, 0)) for quality in TABLE]
    assert len({name.symbol(C) for name in names}) == len(names)
    # ninths above a major or a minor triad are told by the numeral's size
    assert len({name.numeral("major") for name in names}) == len(names)


@pytest.mark.parametrize(
    ("tonic", "expected"), [("C4", "F♯ø7/A"), ("Gb4", "Cø7/E♭"), ("F#4", "B♯ø7/D♯")]
)
def test_the_letters_move_with_the_key(tonic: str, expected: str) -> None:
    assert ChordName((3, 6), "ø7", (5, 9)).symbol(Pitch.parse(tonic)) == expected


def test_letters_on_either_side_of_the_tonic() -> None:
    """A lowered tonic and a raised seventh lie beyond the octave of their letter."""
    assert symbol("Cb Eb Gb") == "C♭" and symbol("B# D## F##") == "B♯"


def test_the_docs_have_the_whole_table() -> None:
    page = (Path(__file__).parents[2] / "docs/writing/chords.md").read_text("utf-8")
    rows = re.findall(r"^\| C(\S*) \| ([MmPAd2-7 ]+) \| (\S+) \|$", page, re.MULTILINE)
    assert {row[0]: set(row[1].split()) for row in rows} == TABLE
    for quality, _, expected in rows:
        assert ChordName((0, 0), quality, (0, 0)).numeral("major") == expected
