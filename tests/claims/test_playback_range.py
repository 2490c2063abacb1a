"""Notes that the player has no tone for: below A1 (MIDI 33) or above F#6 (90)."""

import pytest

from chorus_handbook.claims.playback_range import check_playback_range
from chorus_handbook.pitch import Pitch


def found(make, voices, *keys):
    tonics = tuple(Pitch.parse(key) for key in keys or ("C4",))
    return list(check_playback_range(make.subject(facts=make.facts(voices, keys=tonics))))


@pytest.mark.parametrize(("low", "high"), [("A1", "E2"), ("C4", "F#6")])
def test_the_ends_themselves_are_heard(make, low, high):
    assert found(make, {"bass": {"low": low, "high": high}}) == []


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ("Ab1", "E2", "In the key C4, bass sings Ab1. That is below A1, the lowest note"),
        ("C4", "G6", "In the key C4, bass sings G6. That is above Gb6, the highest note"),
    ],
)
def test_a_note_beyond_them_is_told(make, low, high, words):
    (problem,) = found(make, {"bass": {"low": low, "high": high}})
    assert (problem.code, problem.severity) == ("sound-reach", "notice")
    assert problem.message.startswith(words)


def test_it_names_the_first_key_in_which_a_voice_is_not_heard(make):
    voices = {"soprano": {"low": "C6", "high": "F6"}, "alto": {"low": "C4", "high": "G4"}}
    (problem,) = found(make, voices, "C4", "C#4", "D4", "Eb4")
    assert problem.message.startswith("In the key D4, soprano sings G6")


def test_the_leader_is_heard_too(make):
    assert len(found(make, {"leader": {"low": "C1", "high": "C2"}})) == 1


def test_who_only_speaks_has_no_pitch(make):
    assert found(make, {"alto": {"low": None, "high": None}}) == []
    assert list(check_playback_range(make.subject())) == []
