"""Who sings: octaves, ranges and groups as the typed form gives them, and what does not fit it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import IMPACT_WORDS, Chorus
from chorus_handbook.problems import Problem

Reported = list[tuple[str, int, int, str, str, str]]


@pytest.fixture
def chorus(
    read: Callable[[str, str], tuple[ChorusConfig, list[Problem]]],
    chorus_text: str,
    vocabulary_text: str,
) -> Chorus:
    config, problems = read(chorus_text, vocabulary_text)
    assert problems == [] and config.chorus is not None
    return config.chorus


def test_ranges_are_midi_numbers(chorus: Chorus) -> None:
    """MIDI numbers from common practice: middle C, C4, is 60; A4 is 69."""
    soprano, bass = chorus.voices["soprano"], chorus.voices["bass"]
    assert (soprano.comfortable.low, soprano.comfortable.high) == (60, 77)
    assert (soprano.limits.low, soprano.limits.high) == (57, 81)
    assert (bass.comfortable.low, bass.limits.high) == (41, 64)


def test_a_voice_stands_where_it_is_written_unless_it_says_otherwise(chorus: Chorus) -> None:
    assert {name: voice.octave for name, voice in chorus.voices.items()} == {
        "soprano": 0,
        "tenor": -1,
        "bass": -1,
    }


def test_voices_keep_their_order_and_groups_follow_it(chorus: Chorus) -> None:
    assert chorus.named("all") == ("soprano", "tenor", "bass")
    assert chorus.named("lower") == ("tenor", "bass")  # as in the score, not as in the group
    assert chorus.named("bass") == ("bass",)
    assert chorus.named("alto") is None
    assert chorus.in_order(["bass", "soprano", "bass", "nobody"]) == ("soprano", "bass")


def test_a_leader_needs_no_lines(chorus: Chorus) -> None:
    assert (chorus.label_of("leader"), chorus.leader.clef, chorus.leader.octave) == (
        "Leader",
        "treble",
        0,
    )


def test_every_impact_has_its_word() -> None:
    assert sorted(IMPACT_WORDS) == [1, 2, 3, 4, 5]


CHORUS, VOCABULARY = "chorus.yml", "vocabulary.yml"
VALUE = "field-value"
CASES = [
    # old, new, file, line, column, code, in the message, in the hint
    ("name: Testing Chorus", "nome: A", CHORUS, 1, 1, "field-missing", '"name"', "chorus's"),
    ("name: Testing Chorus", "name: true", CHORUS, 1, 7, VALUE, "yes or no", '"true"'),
    ("clef: treble\n", "clef: trebel\n", CHORUS, 5, 11, VALUE, '"treble"?', "treble-8"),
    ("C4 to F5", "C4-F5", CHORUS, 6, 18, VALUE, '"to" between', "C4 to F5"),
    ("C4 to F5", "[C4, F5]", CHORUS, 6, 18, VALUE, '"to" between', "C4 to F5"),
    ("C4 to F5", "60 to 77", CHORUS, 6, 18, VALUE, "60", 'such as "C4"'),
    ("C4 to F5", "F5 to C4", CHORUS, 6, 18, VALUE, "is not lower than", "lower note"),
    ("C4 to F5", "C4 to C4", CHORUS, 6, 18, VALUE, "the same, C4", "C4 to G5"),
    ("A3 to A5", "D4 to A5", CHORUS, 3, 3, VALUE, "comfortable range", "Widen the"),
    ("A3 to A5", "A3 to E5", CHORUS, 3, 3, VALUE, "comfortable range", "Widen the"),
    ("octave: -1, comfortable: C3", "octave: 4, comfortable: C3", CHORUS, 8, 49, VALUE,
     "is 4; it cannot be more than 3", "one below the written"),
    ("octave: -1, comfortable: C3", "octave: low, comfortable: C3", CHORUS, 8, 49,
     VALUE, "whole number", "one below the written"),
    ("label: Tenor, ", "", CHORUS, 8, 3, "field-missing", '"label" is missing in "tenor"', ""),
    ("label: Tenor, ", "label: Tenor, colour: red, ", CHORUS, 8, 25, "field-unknown",
     '"colour" in "tenor"', '"label", "clef", "octave"'),
    ("label: Soprano", "label: ' '", CHORUS, 4, 12, VALUE, "empty", "printed"),
    ("  soprano:", "  Soprano 1:", CHORUS, 3, 3, VALUE, "as a name", "soprano-1"),
    ("groups:", "leader: bass\ngroups:", CHORUS, 10, 9, VALUE, "must be a group of fields", ""),
    ("lowest_impact: 2", "lowest_impact: 6", VOCABULARY, 4, 36, VALUE,
     "cannot be more than 5", "1 to 5"),
    ("lowest_impact: 2", "lowest_impact: true", VOCABULARY, 4, 36, VALUE,
     "whole number, not true", "1 to 5"),
    ("[strain]}", "strain}", VOCABULARY, 5, 57, VALUE, "even with a single item", "[strain]"),
    ("  4: [strain]", "  6: [strain]", VOCABULARY, 12, 3, VALUE, "more than 5", ""),
    ("  4: [strain]", "  four: [strain]", VOCABULARY, 12, 3, VALUE, '"four"', ""),
    ("goals:", "goal:", VOCABULARY, 1, 1, "field-missing", '"goals"', "for"),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_what_does_not_fit_is_said_at_its_place(
    changed: Callable[[str, str], Reported], case: tuple[str, str, str, int, int, str, str, str]
) -> None:
    old, new, file, line, column, code, message, hint = case
    first = changed(old, new)[0]
    assert first[:4] == (file, line, column, code)
    assert message in first[4] and hint in first[5] and first[5]


@pytest.mark.parametrize("voices", ["[soprano]", "{}", "", "soprano"])
def test_a_chorus_has_voices(
    read: Callable[[str, str], tuple[ChorusConfig, list[Problem]]],
    vocabulary_text: str,
    voices: str,
) -> None:
    config, (problem,) = read(f"name: A\nvoices: {voices}\n", vocabulary_text)
    assert config.chorus is None and problem.code == "field-value"
    assert problem.place.line == 2


def test_sixteen_voices_are_the_most(
    read: Callable[[str, str], tuple[ChorusConfig, list[Problem]]], vocabulary_text: str
) -> None:
    def chorus_of(number: int) -> str:
        voice = "{label: A, clef: bass, comfortable: C3 to C4, limits: C3 to C4}"
        return "name: A\nvoices:\n" + "".join(f"  v{n}: {voice}\n" for n in range(number))

    assert read(chorus_of(16), vocabulary_text)[1] == []
    (problem,) = read(chorus_of(17), vocabulary_text)[1]
    assert "at most 16 are allowed" in problem.message
