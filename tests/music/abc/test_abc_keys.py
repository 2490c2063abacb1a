"""Keys of ABC against an independent table, and where their tonic lies."""

from __future__ import annotations

import pytest

from chorus_handbook.music.abc.keys import FieldError, read_key
from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import LETTERS, Pitch

TONICS = [letter + sign for letter in LETTERS for sign in ("", "#", "b")]
MODES = "major minor dorian phrygian lydian mixolydian locrian".split()


@pytest.mark.parametrize("mode", MODES)
def test_signatures_are_those_of_another_program(mode: str) -> None:
    """music21's keys, as an independent reference."""
    from music21 import key

    read = 0
    for name in TONICS:
        theirs = key.Key(name.replace("b", "-"), mode)
        if abs(theirs.sharps) > 7:
            with pytest.raises(FieldError):
                read_key(f"{name} {mode}")
            continue
        ours, rest = read_key(f"{name} {mode}")
        assert rest == ""
        altered = {LETTERS.index(p.step): int(p.alter) for p in theirs.alteredPitches}
        assert dict(ours.altered) == altered
        assert ours.mode == ("phrygian" if mode == "locrian" else mode)
        read += 1
    assert read >= 10


@pytest.mark.parametrize("mode", MODES[:-1])
def test_plain_letters_are_the_degrees_of_the_mode(mode: str) -> None:
    key, _ = read_key(f"F# {mode}" if mode != "lydian" else f"Bb {mode}")
    steps = [(key.tonic.step + n) % 7 for n in range(7)]
    octaves = [4 + (key.tonic.step + n) // 7 for n in range(7)]
    pitches = [Pitch(s, key.altered.get(s, 0), o) for s, o in zip(steps, octaves, strict=True)]
    assert [key.degree(pitch, 0) for pitch in pitches] == [Degree(n) for n in range(7)]


@pytest.mark.parametrize("name", ["C", "D#m", "Gb", "Bmin", "Ab mix"])
def test_the_tonic_lies_from_c4_to_b4(name: str) -> None:
    key, _ = read_key(name)
    assert key.tonic.octave == 4
    assert key.degree(key.tonic, 0) == Degree(0)
    assert key.degree(key.tonic, -1) == Degree(7)


@pytest.mark.parametrize(
    ("text", "mode", "altered", "rest"),
    [
        ("Cmaj", "major", {}, ""),
        ("Am", "minor", {}, ""),
        ("A minor", "minor", {}, ""),
        ("EDor", "dorian", {3: 1, 0: 1}, ""),
        ("G mixolydian", "mixolydian", {}, ""),
        ("C bass", "major", {}, "bass"),
        ("D clef=treble-8", "major", {3: 1, 0: 1}, " clef=treble-8"),
        ("Dm octave=-1", "minor", {6: -1}, " octave=-1"),
        ("Am ^g", "minor", {4: 1}, ""),
        ("Ddor =b ^c", "dorian", {0: 1}, ""),
        ("C exp _b,_e", "dorian", {6: -1, 2: -1}, ""),
        ("C exp", "major", {}, ""),
        ("C explicit", "major", {}, ""),
        ("DExplicit _b _e ^f", "phrygian", {6: -1, 2: -1, 3: 1}, ""),
        ("Gm ^f _e clef=bass", "minor", {6: -1, 2: -1, 3: 1}, " clef=bass"),
    ],
)
def test_forms_of_a_key(text: str, mode: str, altered: dict[int, int], rest: str) -> None:
    key, left = read_key(text)
    assert (key.mode, dict(key.altered), left.strip()) == (mode, altered, rest.strip())


@pytest.mark.parametrize("text", ["", "none", "HP", "Hp", "c", "Cx", "C#lyd", "Q", "G##", "Cmi"])
def test_what_is_no_key(text: str) -> None:
    with pytest.raises(FieldError):
        read_key(text)
