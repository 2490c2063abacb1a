"""Scores told in words: worked cases, and exercises of the demo in all three notations against the
names that music21 gives to notes that it reads itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engraved import NotesInWords
from chorus_handbook.engraving.note_values import single_value, value_name
from chorus_handbook.engraving.notes_in_words import notes_in_words
from chorus_handbook.music.score import Degree, RoundEntry, Score, Span
from chorus_handbook.pitch import Pitch

ALL = ["soprano", "alto", "tenor", "bass"]
#: Of a bar or of several: names of notes with their lengths in quarters.
Bars = list[list[tuple[str, Fraction]]]


def told(score: Score, chorus: Chorus, tonic: str = "C4") -> NotesInWords:
    return notes_in_words("Slack water", score, chorus, Pitch.parse(tonic))


def line(score: Score, chorus: Chorus, tonic: str = "C4") -> list[str]:
    """The bars of the first line as text."""
    bars = told(score, chorus, tonic).lines[0].bars
    return [f"{label}: {re.sub('</?b>', '', text)}" for label, text in bars]


def test_a_length_is_said_once_and_a_held_note_goes_over_the_bar(
    build: Any, chorus: Chorus
) -> None:
    events = [
        build.sung(0, 1, "har-"),
        build.sung(1, 1, "bour"),
        build.sung(6, 3, "lights_", alter=-1, breath="breath"),
        build.sung(2, "1/2", "oh"),
        build.sung(1, "1/2"),
        build.rest(2),
    ]
    assert line(build.score([build.part("alto", events)]), chorus) == [
        "Bar 1: quarter: C4 “har-”, D4 “bour”; half: B flat 4 “lights” (held into the next bar)",
        "Bar 2: quarter: still B flat 4 (breath); eighth: E4 “oh”, D4; half: rest",
    ]


def test_whoever_sings_the_same_line_is_told_once(build: Any, chorus: Chorus) -> None:
    words = told(build.score(build.together(ALL, build.scale(0, 1, 2, 3))), chorus, "Eb4")
    (only,) = words.lines
    assert words.title == "Slack water in E flat major, 4/4"
    assert only.singers == "All" and only.octaves == "Tenor and Bass: an octave lower than written."
    assert words.pitches == ("Eb4", "F4", "G4", "Ab4")
    assert only.bars == (
        ("Bar 1", "quarter: <b>E flat 4</b>, <b>F4</b>, <b>G4</b>, <b>A flat 4</b>"),
    )


def test_all_signs_are_told(build: Any, chorus: Chorus) -> None:
    events = [
        build.sung(0, 2, glide_at=1, accents=("marcato",)),
        build.sung(4, 1, easy=True, glide_at=0, below=(Degree(2, 1), Degree(0))),
        build.sung(3, 1, fermatas=(build.hold(0, 1),), graces=(Degree(5),)),
        build.sung(2, 8, staggered=(Fraction(5),)),
        build.rest(4, fermatas=(build.hold(0, 4),)),
    ]
    dynamics = (build.dynamic("p", 0), build.dynamic("<", 1, 3), build.dynamic("f", 4))
    slurs = (Span(Fraction(2), Fraction(2)),)
    score = build.score([build.part("alto", events, dynamics=dynamics, slurs=slurs)])
    assert line(score, chorus) == [
        "Bar 1: half: piano, C4 (marcato, glides to the next note for its last quarter); "
        "quarter: crescendo begins, G4 with E sharp 4 and C4 (only as far as is easy, slur begins, "
        "glides to the next note), crescendo ends, F4 after grace notes A4 (slur ends, fermata)",
        "Bar 2: whole: forte, E4 (held into the next bar)",
        "Bar 3: whole: still E4 (staggered breath)",
        "Bar 4: whole: rest (fermata)",
    ]


def test_a_slur_over_one_syllable_is_told_by_the_syllable(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, "la_"), build.sung(1, 2)]
    slurs = (Span(Fraction(0), Fraction(4)),)
    assert line(build.score([build.part("alto", events, slurs=slurs)]), chorus) == [
        "Bar 1: half: C4 “la”, D4"
    ]


def test_verses_speech_pickups_and_bars_of_rest(build: Any, chorus: Chorus) -> None:
    events = [
        build.spoken("middle", 1, ["oh", "ah"]),
        build.spoken("high", 2, ["tide", None]),
        build.spoken("low", 2),
        build.rest(4),
        build.rest(4),
    ]
    score = build.score([build.part("leader", events)], pickup=1)
    words = told(score, chorus)
    assert words.title == "Slack water, 4/4"
    assert words.about[1:] == (
        "A note without a word goes on with the word before it.",
        "The words of several verses stand between slashes.",
        "It begins with a pickup that lasts one quarter.",
    )
    assert line(score, chorus) == [
        "Pickup: quarter: spoken “oh / ah”",
        "Bar 1: half: spoken high “tide / –”, spoken low",
        "Bars 2 to 3: rest",
    ]


def test_bars_that_are_sung_again_are_told_by_their_numbers(build: Any, chorus: Chorus) -> None:
    """Notes of a repeat are drawn as those that they repeat."""
    first = [build.sung(step, 2, "la") for step in (0, 1, 2, 3)]
    again = [build.sung(step, 2, "lo") for step in (0, 1, 2, 3)]
    events = [*first, *again, build.sung(0, 4)]
    part = build.part("alto", events)
    drawn = [f"alto-{n}" for n in (1, 2, 3, 4, 1, 2, 3, 4, 9)]
    repeated = [
        type(note)(**{f: getattr(note, f) for f in note.__slots__} | {"drawn": name})
        for note, name in zip(part.notes, drawn, strict=True)
    ]
    score = build.score([build.part("alto", repeated)])
    assert line(score, chorus)[2:] == [
        "Bars 3 to 4: the same as bars 1 to 2, on “lo lo lo lo”",
        "Bar 5: whole: C4",
    ]


def test_entries_of_a_round_name_the_bar_that_the_first_has_reached(
    build: Any, chorus: Chorus
) -> None:
    score: Score = build.score(build.together(ALL, build.scale(0, 1, 2, 3, 0, 1, 2, 3)))
    entries = [(("alto",), 0), (("soprano", "tenor"), 4), (("bass",), 6)]
    stated = tuple(RoundEntry(voices, Fraction(at)) for voices, at in entries)
    score = type(score)(**{f: getattr(score, f) for f in score.__slots__} | {"entries": stated})
    assert told(score, chorus).about[-1] == (
        "Entries of the round: 1 Alto, 2 Soprano and Tenor when the first begins bar 2, "
        "3 Bass when the first is at beat 3 of bar 2."
    )


#: Lengths that a single note has, and some that need tied notes.
LENGTHS = [
    *(Fraction(n, 8) for n in (1, 2, 3, 4, 6, 7, 8, 12, 14, 16, 24, 28, 32)),
    *(Fraction(n, 12) for n in (1, 2, 4, 8, 16)),
    *(Fraction(n, 5) for n in (1, 2, 4)),
    *(Fraction(n, 7) for n in (1, 2, 4)),
    *(Fraction(n, 4) for n in (5, 9, 10, 18, 20, 22)),
]


def in_our_words(full_name: str) -> str:
    """A duration of music21 ("Eighth Triplet (1/3 QL)") in the handbook's order of words."""
    name = re.sub(r" \([^)]*\)", "", full_name).lower()
    name = name.replace("16th", "sixteenth").replace("32nd", "thirty-second")
    return re.sub(r"(\S+) (triplet|quintuplet|septuplet)", r"\2 \1", name)


@pytest.fixture(scope="module")
def lengths() -> dict[str, Fraction]:
    """The lengths by the names that music21 gives them."""
    from music21 import duration

    return {in_our_words(duration.Duration(length).fullName): length for length in LENGTHS}


def test_lengths_are_named_as_music21_names_them(lengths: dict[str, Fraction]) -> None:
    assert {value_name(length): length for length in LENGTHS} == lengths
    assert [name for name, n in lengths.items() if not single_value(n)] == [
        name for name in lengths if " tied to " in name
    ]


def test_lengths_that_no_notes_have_are_told_all_the_same() -> None:
    assert value_name(Fraction(10)) == "whole tied to whole tied to half"
    assert value_name(Fraction(4, 3) + 1) == "half tied to triplet eighth"
    assert value_name(Fraction(1, 13)) == "1/13 of a quarter"


def read_back(words: NotesInWords, number: int, lengths: dict[str, Fraction]) -> Bars:
    """A line as it is told, as notes with lengths; only the names of music21 are understood."""
    bars: Bars = []
    for label, text in words.lines[number].bars:
        first, _, last = label.removeprefix("Bars ").removeprefix("Bar ").partition(" to ")
        if text == "rest":
            bars += [[("rest", Fraction(0))]] * (int(last or first) - int(first) + 1)
            continue
        if again := re.fullmatch(r"the same as bars? (\d+)(?: to (\d+))?", text):
            bars += bars[int(again[1]) - 1 : int(again[2] or again[1])]
            continue
        plain = re.sub("“[^”]*”", "", text)
        bars.append([])
        for group in plain.split("; "):
            length, _, entries = group.partition(": ")
            names = re.findall(r"<b>([^<]*)</b>|(rest|spoken)", entries)
            bars[-1] += [(pitch or other, lengths[length]) for pitch, other in names]
    return bars


def compared(bars: Bars) -> Bars:
    """Bars of rest whatever their length, and rests that follow one another as one."""
    found: Bars = []
    for bar in bars:
        if all(name == "rest" for name, _ in bar):
            found.append([("rest", Fraction(0))])
            continue
        found.append([])
        for name, run in groupby(bar, lambda one: one[0] if one[0] == "rest" else one):
            if name == "rest":
                found[-1].append(("rest", sum((n for _, n in run), Fraction(0))))
            else:
                found[-1] += list(run)
    return found


def named(note: Any) -> str:
    """A note of music21 by its own name, "B-flat in octave 3", in the handbook's: "B flat 3"."""
    if note.isRest:
        return "rest"
    name = note.pitch.fullName.replace(" in octave ", " " if note.pitch.accidental else "")
    return str(re.sub(r"-(?=flat|sharp)|-natural", " ", name)).replace("  ", " ")


def bars_of(part: Any, voice: int = 0) -> Bars:
    """A part, or one voice of it, that music21 has read: what is tied inside a bar is one note."""
    bars: Bars = []
    for measure in part.getElementsByClass("Measure"):
        bars.append([])
        for note in (measure.voices[voice] if measure.voices else measure).notesAndRests:
            goes_on = note.tie and note.tie.type in ("stop", "continue") and bars[-1]
            before = bars[-1].pop() if goes_on else ("", Fraction(0))
            length = Fraction(note.quarterLength).limit_denominator(96)
            bars[-1].append((named(note), before[1] + length))
    return bars


def words_of(demo: Checked, slug: str, tonic: str) -> NotesInWords:
    assert demo.config.chorus
    return notes_in_words(slug, demo.scores[slug].written, demo.config.chorus, Pitch.parse(tonic))


@pytest.mark.parametrize("slug", ["paired-oars", "ropes-fast", "through-the-lock"])
def test_files_are_told_as_music21_reads_them(
    demo: Checked, lengths: dict[str, Fraction], slug: str
) -> None:
    from music21 import converter

    file = demo.scores[slug].file
    assert file
    theirs = converter.parse(demo.root / "scores" / f"{slug}.musicxml").toSoundingPitch()
    words = words_of(demo, slug, str(file.tonic))
    voices = [
        bars_of(part.expandRepeats(), voice)
        for part in theirs.parts
        for voice in range(2 if part.recurse().getElementsByClass("Voice") else 1)
    ]
    expected = [compared(bars) for bars in voices]
    found = [compared(read_back(words, n, lengths)) for n in range(len(words.lines))]
    assert found == expected and len(found) == 4


@pytest.mark.parametrize(("slug", "tonic"), [("herring-fleet", "D4"), ("quick-ferry", "D4")])
def test_abc_is_told_as_music21_reads_it(
    demo: Checked, lengths: dict[str, Fraction], slug: str, tonic: str
) -> None:
    """The tune without its decorations, and only the first of voices that sing the same."""
    from music21 import converter

    text = (demo.root / "exercises" / f"{slug}.md").read_text("utf-8")
    (tune,) = re.findall("```abc\n(.*?)```", text, re.DOTALL)
    head, first = tune.split("V:")[0], tune.split("V:upper\n")[-1].split("V:")[0]
    tune = re.sub(r"(?m)^w:.*\n|!breath!|H", "", head + first if "V:" in tune else tune)
    theirs = converter.parse(f"X:1\n{tune}", format="abc").parts[0]
    assert compared(read_back(words_of(demo, slug, tonic), 0, lengths)) == compared(bars_of(theirs))


#: A token of `degrees` with a pitch.
DEGREE = re.compile(r"([#b]?)([1-7])([',]*)\??~?\^?")


def bars_by_hand(text: str, mode: str, octave: int, unit: int, length: int) -> Bars:
    """A line of `degrees` by the few rules that it needs here, with pitches from music21's scales;
    C4 is the tonic. `unit` is the number of beats in a quarter, `length` that of bars in all."""
    from music21 import note, scale

    degrees = {"major": scale.MajorScale, "minor": scale.MinorScale}[mode]("C4")
    bars: Bars = []
    name = ""
    for bar in text.strip().strip("|").split("|"):
        bars.append([])
        for beat in bar.split():
            if beat == "...":
                beats = sum((n for _, n in bars[-1]), Fraction(0))
                rest = 4 - beats
                bars[-1][-1:] = [(name, bars[-1][-1][1] + rest)] if bars[-1] else [(name, rest)]
                bars += [[(name, Fraction(4))] for _ in range(length - len(bars))]
                break
            if not re.search("[0-7x-]", beat):
                continue  # a dynamic or a breath
            shares = beat.split(".")
            for share in shares:
                lasts = Fraction(1, len(shares) * unit)
                if share.startswith("-") and bars[-1]:
                    bars[-1][-1] = (name, bars[-1][-1][1] + lasts)
                    continue
                if found := DEGREE.fullmatch(share):
                    sign, degree, marks = found.groups()
                    pitch = degrees.pitchFromDegree(int(degree))
                    moved = pitch.transpose({"#": "A1", "b": "-A1", "": "P1"}[sign])
                    moved.octave += marks.count("'") - marks.count(",") + octave
                    name = named(note.Note(moved))
                elif not share.startswith("-"):
                    name = "rest" if share == "0" else "spoken"
                bars[-1].append((name, lasts))
    return bars


def simple_lines(demo: Checked) -> Iterator[tuple[str, str, str, int, Score]]:
    """Exercises of one block in 4/4 or 3/4: slug, line, mode, its number and the score."""
    for file in sorted(Path(demo.root / "exercises").glob("*.md")):
        for block in re.findall("```degrees\n(.*?)```", file.read_text("utf-8"), re.DOTALL):
            mode = re.search(r"(?m)^mode: (\w+)", block)
            odd = re.search(r"(?m)^(meter: (?!3/4)|pickup|octave)", block) or "\n\n" in block
            if odd or (mode and mode[1] not in ("major", "minor")):
                continue
            lines = re.findall(r"(?m)^(?!words|meter|mode)[\w+]+: (.*)$", block)
            for number, text in enumerate(lines):
                if "x," not in text and "x'" not in text:
                    name = mode[1] if mode else "major"
                    yield file.stem, text, name, number, demo.scores[file.stem]


def test_degrees_are_told_as_music21_names_their_scales(
    demo: Checked, lengths: dict[str, Fraction]
) -> None:
    compared_lines = 0
    for slug, text, mode, number, score in simple_lines(demo):
        assert demo.config.chorus
        words = notes_in_words(slug, score.written, demo.config.chorus, Pitch.parse("C4"))
        low = words.lines[number].singers in ("Tenor", "Bass", "Tenor and Bass")
        expected = bars_by_hand(text, mode, -1 if low else 0, 1, len(score.bar_starts))
        found = read_back(words, number, lengths)
        assert compared(found) == compared(expected), slug
        compared_lines += 1
    assert compared_lines > 50
