"""The notes that were drawn, heard back from the engraver, against music21 reading the same music.

The engraver plays what it drew (MIDI, read by mido); music21 builds the same line from note names
and moves it by named intervals. Nothing of the package takes part in that second reading but the
names of the notes.
"""

from __future__ import annotations

import io
from fractions import Fraction
from typing import Any

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import interval, key, note, pitch

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engine import midi
from chorus_handbook.engraving.mei import write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Degree, Score
from chorus_handbook.pitch import Pitch

Heard = list[tuple[float, float, int]]

#: The tonics of the 15 signatures, seven flats to seven sharps. Source: the circle of fifths;
#: music21's own `Key.sharps` is asked below.
MAJOR = "Cb4 Gb4 Db4 Ab4 Eb4 Bb4 F4 C4 G4 D4 A4 E4 B4 F#4 C#4".split()
MINOR = "Ab4 Eb4 Bb4 F4 C4 G4 D4 A4 E4 B4 F#4 C#4 G#4 D#4 A#4".split()
#: The scale of each mode on C, as note names. Source: facts of the trade.
SCALES = {
    "major": "C D E F G A B",
    "minor": "C D E- F G A- B-",
    "dorian": "C D E- F G A B-",
    "phrygian": "C D- E- F G A- B-",
    "lydian": "C D E F# G A B",
    "mixolydian": "C D E F G A B-",
}


def heard(score: Score, chorus: Chorus, tonic: str) -> list[Heard]:
    """What the engraver plays: for each staff, onset, length and MIDI number of every note."""
    file = mido.MidiFile(file=io.BytesIO(midi(write_mei(write(score, chorus), Pitch.parse(tonic)))))
    tracks = []
    for track in file.tracks[1:]:
        clock, found = 0, []
        begun: dict[int, list[int]] = {}  # a repeated note may begin before the last one is let go
        for message in track:
            clock += message.time
            if message.type == "note_on" and message.velocity:
                begun.setdefault(message.note, []).append(clock)
            elif message.type in ("note_on", "note_off"):
                start = begun[message.note].pop(0)
                beat = file.ticks_per_beat
                found.append((start / beat, (clock - start) / beat, message.note))
        tracks.append(sorted(found))
    return tracks


def named(tonic: str) -> str:
    """A note name as music21 spells it."""
    return tonic.replace("b", "-")


def moved(name: str, tonic: str, octaves: int) -> int:
    """A note name meant in C, moved by the named interval from C4 to the tonic."""
    step = interval.Interval(note.Note("C4"), note.Note(named(tonic)))
    target = step.transposePitch(pitch.Pitch(name))
    return int(target.midi) + 12 * octaves


@pytest.mark.parametrize("tonic", MAJOR)
def test_every_signature_sounds_as_music21_says(tonic: str, build: Any, chorus: Chorus) -> None:
    names = "C4 D4 E4 F4 G4 A4 B4 C5".split()
    voices = ("alto", "tenor", "bass")  # in treble, treble-8 and bass clef
    score = build.score([build.part(voice, build.scale(*range(8))) for voice in voices])
    tracks = heard(score, chorus, tonic)
    assert len(tracks) == len(voices)
    for track, octave in zip(tracks, (0, -1, -1), strict=True):
        assert [n for _, _, n in track] == [moved(name, tonic, octave) for name in names]
        assert [start for start, _, _ in track] == list(range(8))
        assert [length for _, length, _ in track] == pytest.approx([1] * 8, abs=0.01)  # a tick


@pytest.mark.parametrize(("tonics", "mode"), [(MAJOR, "major"), (MINOR, "minor")])
def test_signatures_are_those_of_music21(
    tonics: list[str], mode: str, build: Any, chorus: Chorus
) -> None:
    score = build.score([build.part("alto", [build.sung(0, 4)])], mode=mode)
    shown = {"0": 0} | {f"{n}s": n for n in range(1, 8)} | {f"{n}f": -n for n in range(1, 8)}
    found = []
    for tonic in tonics:
        text = write_mei(write(score, chorus), Pitch.parse(tonic))
        found.append(shown[text.partition('keysig="')[2].partition('"')[0]])
        assert found[-1] == key.Key(named(tonic[:-1]), mode).sharps
    assert found == list(range(-7, 8))


@pytest.mark.parametrize("mode", SCALES)
@pytest.mark.parametrize("tonic", ["C4", "Eb4", "F#4", "A3"])
def test_every_mode_sounds_as_its_scale(mode: str, tonic: str, build: Any, chorus: Chorus) -> None:
    score = build.score([build.part("soprano", build.scale(*range(7)))], mode=mode)
    (track,) = heard(score, chorus, tonic)
    names = [f"{name}4" for name in SCALES[mode].split()]
    assert [n for _, _, n in track] == [moved(name, tonic, 0) for name in names]


@pytest.mark.parametrize(
    ("move", "tonic", "sharps"),
    [("m2", "Db4", -5), ("m6", "Ab4", -4), ("d5", "Gb4", -6), ("A4", "F#4", 6), ("M7", "B4", 5)],
)
def test_named_moves_of_a_figure(
    move: str, tonic: str, sharps: int, build: Any, chorus: Chorus
) -> None:
    """C D E F G E C by named intervals, with the signatures that the facts give; every note is in
    its key, so nothing but the signature is printed. Computed; music21 moves the figure."""
    score = build.score([build.part("alto", build.scale(0, 1, 2, 3, 4, 2, 0))])
    text = write_mei(write(score, chorus), Pitch.parse(tonic))
    sign = f"{abs(sharps)}{'s' if sharps > 0 else 'f'}"
    assert f'keysig="{sign}"' in text
    assert ' accid="' not in text
    (track,) = heard(score, chorus, tonic)
    figure = [pitch.Pitch(f"{name}4") for name in "CDEFGEC"]
    expected = [int(interval.Interval(move).transposePitch(p).midi) for p in figure]
    assert [n for _, _, n in track] == expected


@pytest.mark.parametrize(
    ("clef", "octave"),
    [("treble", 0), ("treble-8", -1), ("alto", 0), ("tenor", -1), ("bass", -2)],
)
def test_every_clef_leaves_the_sound_alone(
    clef: str, octave: int, build: Any, chorus: Chorus
) -> None:
    voice = chorus.voices["alto"].model_copy(update={"clef": clef, "octave": octave})
    odd = chorus.model_copy(update={"voices": {"alto": voice}})
    score = build.score([build.part("alto", build.scale(0, 4), octave=octave)])
    (track,) = heard(score, odd, "D4")
    assert [n for _, _, n in track] == [moved("C4", "D4", octave), moved("G4", "D4", octave)]


def test_alterations_are_counted_from_the_modes_own_degree(build: Any, chorus: Chorus) -> None:
    events = [build.sung(6, 1, alter=1), build.sung(2, 1, alter=-1), build.sung(0, 2, alter=1)]
    score = build.score([build.part("alto", events)], mode="minor")
    (track,) = heard(score, chorus, "D4")
    assert [n for _, _, n in track] == [73, 64, 63]  # C#5, Fb4 (F is the third of D minor), D#4


def test_ties_sound_once_and_tuplets_in_time(build: Any, chorus: Chorus) -> None:
    events = [
        build.sung(0, "1/3"),
        build.sung(1, "1/3"),
        build.sung(2, "10/3"),
        build.sung(3, "7/2"),
        build.sung(4, "1/2"),
    ]
    (track,) = heard(build.score([build.part("alto", events)]), chorus, "C4")
    onsets = [0, 1 / 3, 2 / 3, 4, 7.5]
    assert [n for _, _, n in track] == [60, 62, 64, 65, 67]
    assert [start for start, _, _ in track] == pytest.approx(onsets, abs=0.01)
    assert track[2][1] == pytest.approx(10 / 3, abs=0.01)
    assert track[3][1] == pytest.approx(3.5, abs=0.01)


@pytest.mark.parametrize("tonic", ["C4", "Gb4", "B3"])
def test_divided_notes_sound_together_and_grace_notes_before_the_beat(
    tonic: str, build: Any, chorus: Chorus
) -> None:
    events = [
        build.sung(0, 1),
        build.sung(4, 6, below=(Degree(2), Degree(0)), graces=(Degree(5), Degree(3, 1))),
        build.sung(1, 1),
    ]
    (track,) = heard(build.score([build.part("alto", events)]), chorus, tonic)
    written = "C4 A4 F#4 C4 E4 G4 D4".split()
    assert [n for _, _, n in track] == [moved(name, tonic, 0) for name in written]
    assert [start for start, _, _ in track[3:]] == [1, 1, 1, 7]
    assert [length for _, length, _ in track[3:6]] == pytest.approx([6] * 3, abs=0.01)
    assert all(0.75 < start < 1 and length < 0.1 for start, length, _ in track[1:3])


LENGTHS = st.sampled_from("1 2 3 4 6 1/2 3/2 1/3 2/3 1/4 3/4 1/5 2/5 1/6 1/7 1/12 5".split())


@settings(max_examples=settings.default.max_examples // 2)
@given(
    line=st.lists(
        st.tuples(st.integers(-7, 9), st.integers(-1, 1), LENGTHS), min_size=1, max_size=14
    ),
    meter=st.sampled_from(["4/4", "3/4", "6/8", "5/4", "7/8", "2/2", "free"]),
    tonic=st.sampled_from(["C4", "Gb4", "B3", "E4"]),
)
def test_any_line_sounds_as_it_was_meant(
    line: list[tuple[int, int, str]], meter: str, tonic: str, build: Any, chorus: Chorus
) -> None:
    events = [build.sung(step, length, alter=alter) for step, alter, length in line]
    beat = Fraction(12)
    spare = -sum((e.duration for e in events), Fraction(0)) % beat
    events += [build.rest(spare)] if spare else []
    score = build.score([build.part("soprano", events)], meter=meter)
    (track,) = heard(score, chorus, tonic)
    scale = SCALES["major"].split()
    moment, expected = Fraction(0), []
    for step, alter, length in line:
        name = pitch.Pitch(f"{scale[step % 7]}{4 + step // 7}")
        expected.append((float(moment), moved(name.nameWithOctave, tonic, 0) + alter))
        moment += Fraction(length)
    assert [n for _, _, n in track] == [n for _, n in expected]
    assert [t for t, _, _ in track] == pytest.approx([t for t, _ in expected], abs=0.05)
