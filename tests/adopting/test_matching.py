"""Voices and words of two choruses are matched where there is no doubt, and only there."""

from __future__ import annotations

import pytest

from chorus_handbook.adopting.voices import in_score_order, match_voices, suggested
from chorus_handbook.adopting.words import Word, match_word
from chorus_handbook.chorus.model import Chorus, Vocabulary


def chorus(**voices: tuple[str, str, str]) -> Chorus:
    """Voices by name: label, clef, comfortable range."""
    return Chorus.model_validate(
        {
            "name": "Test",
            "voices": {
                name: {"label": label, "clef": clef, "comfortable": notes, "limits": notes}
                for name, (label, clef, notes) in voices.items()
            },
        }
    )


THEIRS = chorus(
    soprano=("Soprano", "treble", "C4 to F5"),
    alto=("Alto", "treble", "G3 to C5"),
    tenor=("Tenor", "treble-8", "C3 to F4"),
    bass=("Bass", "bass", "F2 to C4"),
)


@pytest.mark.parametrize(
    ("ours", "expected"),
    [
        (THEIRS, {name: name for name in THEIRS.voices}),
        # by label
        (chorus(s=("Soprano", "treble", "A3 to A4")), {"soprano": "s"}),
        # by clef and range
        (
            chorus(high=("High", "treble", "D4 to F5"), low=("Low", "bass", "E2 to C4")),
            {"soprano": "high", "bass": "low"},
        ),
        # the range of another, the clef of another
        (chorus(high=("High", "treble", "C4 to C6")), {}),
        (chorus(high=("High", "treble-8", "C4 to F5")), {}),
        # two that would do, for one; one that would do for two
        (chorus(a=("A", "treble", "C4 to F5"), b=("B", "treble", "D4 to E5")), {}),
        (chorus(a=("A", "treble", "A3 to D5")), {}),
        (chorus(a=("A", "treble", "G3 to D5")), {"alto": "a"}),
        # a name goes before a range
        (
            chorus(alto=("Alto", "treble", "C4 to F5"), b=("B", "treble", "G3 to C5")),
            {"alto": "alto"},
        ),
    ],
)
def test_voices(ours: Chorus, expected: dict[str, str]) -> None:
    assert match_voices(THEIRS.voices, THEIRS, ours, {}) == expected


def test_one_voice_is_not_matched_with_two() -> None:
    theirs = chorus(a=("A", "treble", "C4 to F5"), b=("B", "treble", "D4 to E5"))
    assert match_voices(theirs.voices, theirs, chorus(c=("C", "treble", "C4 to F5")), {}) == {}


def test_what_is_given_goes_before_all() -> None:
    given = {"tenor": "alto", "alto": "tenor"}
    found = match_voices(THEIRS.voices, THEIRS, THEIRS, given)
    assert found == {"soprano": "soprano", "bass": "bass", **given}


def test_guesses_are_in_score_order() -> None:
    assert suggested(["tenor", "bass"], THEIRS, {"soprano", "tenor"}) == {
        "tenor": "alto",
        "bass": "bass",
    }
    three = chorus(a=("A", "treble", "C4 to F5"), b=("B", "bass", "C2 to F3"))
    assert in_score_order(["soprano", "bass"], three) == {"soprano": "a", "bass": "b"}
    assert in_score_order(THEIRS.voices, three) is None


def vocabulary(**tables: object) -> Vocabulary:
    return Vocabulary.model_validate(
        {
            "goals": {"blend": {"label": "Blend", "about": "One colour."}},
            "soundings": {"hum": {"label": "Hum", "lowest_impact": 2}},
            **tables,
        }
    )


def goals(**labels: str) -> dict[str, dict[str, str]]:
    return {
        name.replace("_", "-"): {"label": label, "about": "A."} for name, label in labels.items()
    }


WITH_POSTURE = vocabulary(
    goals=goals(posture="Posture", sound="Ring"),
    words={"alignment": "goals/posture", "humming": "exercises/low-tide"},
)


@pytest.mark.parametrize(
    ("word", "ours", "expected"),
    [
        (Word("goals", "posture"), vocabulary(goals=goals(posture="Stand")), "posture"),
        (Word("goals", "posture"), vocabulary(goals=goals(stand="posture")), "stand"),
        # an everyday word of ours, and one of theirs
        (
            Word("goals", "posture"),
            vocabulary(goals=goals(stand="Stand"), words={"Posture": "goals/stand"}),
            "stand",
        ),
        (Word("goals", "posture"), vocabulary(goals=goals(alignment="Stand")), "alignment"),
        (
            Word("goals", "posture"),
            vocabulary(goals=goals(a="A", b="B"), words={"posture": ["goals/a", "goals/b"]}),
            None,
        ),
        (Word("goals", "sound"), vocabulary(goals=goals(soundly="Soundly")), None),
        (
            Word("goals", "sound"),
            vocabulary(goals=goals(a="A"), words={"sound": "exercises/low-tide"}),
            None,
        ),
    ],
)
def test_goals(word: Word, ours: Vocabulary, expected: str | None) -> None:
    assert match_word(word, WITH_POSTURE, ours) == expected


def test_cautions_and_formations_are_known_by_what_they_say_and_show() -> None:
    care = {"text": "Stop if it hurts."}
    theirs = vocabulary(
        cautions={"stop": care}, formations={"ring": {"label": "Ring", "diagram": "circle"}}
    )
    ours = vocabulary(
        cautions={"pain": care}, formations={"round": {"label": "Round", "diagram": "circle"}}
    )
    assert match_word(Word("cautions", "stop"), theirs, ours) == "pain"
    assert match_word(Word("formations", "ring"), theirs, ours) == "round"
