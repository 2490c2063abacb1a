"""Music is given to other voices: names, octaves and clefs change, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.adopting.voices import octaves_between
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.abc.revoice import revoice as in_abc
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.music.degrees.revoice import revoice as in_degrees
from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.musicxml.reader import read_document
from chorus_handbook.music.musicxml.revoice import revoice as in_score
from chorus_handbook.music.revoicing import Revoicing
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place
from chorus_handbook.voices import compute_ladder

SCORES = Path(__file__).parents[2] / "handbook" / "scores"


def chorus(**voices: tuple[str, int]) -> Chorus:
    """Voices, the highest first, each with its clef and octave."""
    names = [name.replace("_", "-") for name in voices]
    ranges = {"treble": "F3 to F5", "treble-8": "A2 to A4", "bass": "E2 to E4"}
    return Chorus.model_validate(
        {
            "name": "Test",
            "voices": {
                name.replace("_", "-"): {
                    "label": name.replace("_", " ").capitalize(),
                    "clef": clef,
                    "octave": octave,
                    "comfortable": ranges[clef],
                    "limits": ranges[clef],
                }
                for name, (clef, octave) in voices.items()
            },
            "groups": {"upper": names[:2], "lower": names[2:]},
        }
    )


MIXED = chorus(soprano=("treble", 0), alto=("treble", 0), tenor=("treble-8", -1), bass=("bass", -1))
WOMEN = chorus(
    first=("treble", 0), second=("treble", 0), third=("treble", 0), low_alto=("treble", 0)
)
MEN = chorus(top=("treble-8", -1), lead=("treble-8", -1), baritone=("bass", -1), bass=("bass", -1))
TO_WOMEN = dict(zip(MIXED.voices, WOMEN.voices, strict=True))
TO_MEN = dict(zip(MIXED.voices, MEN.voices, strict=True))


def sounding(score: Score | None, tonic: str = "C4") -> dict[str, list[int]]:
    """The MIDI numbers of each voice."""
    assert score is not None
    key = Pitch.parse(tonic)
    return {
        part.voice: [sounding_pitch(note, part, key, score.mode).midi for note in part.sung]
        for part in score.parts
    }


def degrees(text: str, choir: Chorus) -> dict[str, list[int]]:
    score, problems = read_degrees(
        Notation("degrees", text, Place("t")), choir, tuple(choir.voices)
    )
    assert not problems
    return sounding(score)


def abc(text: str, choir: Chorus) -> dict[str, list[int]]:
    score, problems = read_abc(Notation("abc", text, Place("t")), choir, tuple(choir.voices))
    assert not problems
    return sounding(score)


DEGREES = """\
meter: 2/4
octave: alto -1
soprano: 5 - |
words: loo ...
 alto+tenor: 3 2 |
bass: 1 - |

upper: 5 - |
others: 1 - |

all: 1 1 |
leader: 0 0 |"""


@pytest.mark.parametrize(("ours", "voices"), [(WOMEN, TO_WOMEN), (MEN, TO_MEN), (MIXED, None)])
def test_degrees_sound_the_same_in_every_chorus(ours: Chorus, voices: dict[str, str]) -> None:
    """Where no line is moved, each sounds where it sounded, whatever octave its new voice has."""
    voices = voices or {name: name for name in MIXED.voices}
    text = in_degrees(DEGREES, Revoicing(MIXED, ours, voices))
    before, after = degrees(DEGREES, MIXED), degrees(text, ours)
    for old, new in voices.items():
        assert after[new] == before[old], text
    if voices == {name: name for name in MIXED.voices}:
        assert text.split("\n")[1:] == [x for x in DEGREES.split("\n") if "octave" not in x]


def test_degrees_keep_their_layout() -> None:
    text = in_degrees(DEGREES, Revoicing(MIXED, WOMEN, TO_WOMEN)).split("\n")
    assert text[0] == "octave: second -1, third -1, low-alto -1"
    assert text[1:8] == [
        "meter: 2/4",
        "first: 5 - |",
        "words: loo ...",
        " second+third: 3 2 |",
        "low-alto: 1 - |",
        "",
        "upper: 5 - |",
    ]


def test_a_line_of_degrees_moves_by_octaves() -> None:
    text = in_degrees(DEGREES, Revoicing(MIXED, WOMEN, TO_WOMEN, {"tenor": 1, "bass": 1}))
    before, after = degrees(DEGREES, MIXED), degrees(text, WOMEN)
    assert after["low-alto"] == [note + 12 for note in before["bass"]]
    assert after["first"] == before["soprano"]
    assert text.startswith("octave: second -1\n")


def test_abc_is_named_anew_and_moved() -> None:
    theirs = MIXED.model_copy(update={"groups": {"lower": ["bass"]}})
    voices = {"soprano": "first", "tenor": "second", "bass": "low-alto"}
    text = in_abc(
        'K:C\nV:soprano\nV:T clef=treble-8 name="Tenor" % the tenor\nV:bass octave=-1 snm="B."\n'
        "[V:bass] C | [V:T]D | V:soprano",
        Revoicing(theirs, WOMEN, voices, {"tenor": 1, "bass": 1}),
    )
    assert text == (
        'K:C\nV:first\nV:T clef=treble name="second" % the tenor\nV:low-alto snm="B."\n'
        "[V:low-alto] C | [V:T]D | V:soprano"
    )


def test_abc_sounds_the_same_where_nothing_moves() -> None:
    text = "M:2/4\nL:1/4\nK:C octave=-1\nV:upper octave=0\nC D |\nV:tenor\nE F |\nV:bass\nG A |"
    moved = in_abc(text, Revoicing(MIXED, MEN, TO_MEN))
    before, after = abc(text, MIXED), abc(moved, MEN)
    assert {new: after[new] for new in TO_MEN.values()} == {
        new: before[old] for old, new in TO_MEN.items()
    }
    higher = abc(in_abc(text, Revoicing(MIXED, MEN, TO_MEN, {"bass": 1})), MEN)
    assert higher["bass"] == [note + 12 for note in before["bass"]]
    assert higher["baritone"] == before["tenor"]


@pytest.mark.parametrize("name", ["through-the-lock", "ropes-fast", "paired-oars"])
@pytest.mark.parametrize(("ours", "voices"), [(WOMEN, TO_WOMEN), (MEN, TO_MEN)])
def test_a_score_sounds_the_same_apart_from_what_moves(
    name: str, ours: Chorus, voices: dict[str, str]
) -> None:
    (file,) = SCORES.glob(f"{name}.*")
    data = file.read_bytes()
    before, problems = read_document(data, "t", MIXED, tuple(MIXED.voices))
    assert not problems and before is not None
    moved = in_score(data, Revoicing(MIXED, ours, voices, {"bass": 1}))
    after, problems = read_document(moved, "t", ours, tuple(ours.voices))
    assert not problems and after is not None
    old, new = sounding(before), sounding(after)
    own_line = {p.voice: p.line for p in before.parts}
    for voice, notes in old.items():
        shared = [other for other in old if own_line[other] == own_line[voice]]
        if shared == [voice]:
            up = 12 if voice == "bass" else 0
            assert new[voices[voice]] == [note + up for note in notes], voice


def test_a_score_gets_the_clefs_of_its_new_voices() -> None:
    (file,) = SCORES.glob("through-the-lock.*")
    moved = in_score(file.read_bytes(), Revoicing(MIXED, WOMEN, TO_WOMEN)).decode()
    assert "<sign>F</sign>" not in moved and moved.count("<sign>G</sign>") == 2
    assert "<part-name>third + low-alto</part-name>" in moved


def test_names_of_everyone_stay() -> None:
    revoicing = Revoicing(MIXED, WOMEN, TO_WOMEN)
    names = ("all", "others", "leader", "words", "soprano", "Lower", "upper", "alto + bass")
    assert [revoicing.renamed(name) for name in names] == [
        *("all", "others", "leader", "words", "first", "lower", "upper", "second+low-alto")
    ]


@pytest.mark.parametrize(
    ("theirs", "ours", "text", "expected"),
    [
        # down to the men's octave with the keys, as one: no voice crosses another
        (WOMEN, MEN, "first: 1' |\nsecond: 5 |\nthird: 3 |\nlow-alto: 1 |", set()),
        # a bass among women has to move, and nobody else
        (MIXED, WOMEN, "soprano: 5 |\nalto: 3 |\ntenor: 5 |\nbass: 1, |", {"bass"}),
        (MIXED, MIXED, "soprano: 5 |\nalto: 3 |\ntenor: 5 |\nbass: 1, |", set()),
    ],
)
def test_lines_keep_their_distance_where_they_can(
    theirs: Chorus, ours: Chorus, text: str, expected: set[str]
) -> None:
    notation = Notation("degrees", f"meter: 1/4\n{text}", Place("t"))
    score, problems = read_degrees(notation, theirs, tuple(theirs.voices))
    assert score is not None and not problems
    ladder = compute_ladder(score, [Pitch.parse("G4" if ours is MEN else "C4")], theirs)
    voices = dict(zip(theirs.voices, ours.voices, strict=True))
    octaves = octaves_between(voices, ladder, theirs, ours)
    if ours is MEN:
        assert len({octaves.get(voice, 0) for voice in voices}) == 1
    else:
        assert set(octaves) == expected and set(octaves.values()) <= {1}
