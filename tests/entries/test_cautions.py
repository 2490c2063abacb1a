"""Cautions attached by the vocabulary."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.front_matter import read_front
from chorus_handbook.entries.model import EXERCISE, FrontMatter

FIELDS = {"title": "A", "summary": "B", "minutes": 1}

VOCABULARY = Vocabulary.model_validate(
    {
        "goals": {"range": {"label": "Range", "about": "Width."}},
        "soundings": {
            "hum": {"label": "Hum", "lowest_impact": 2},
            "calling": {"label": "Calling", "lowest_impact": 4, "cautions": ["strain"]},
        },
        "cautions": {
            name: {"text": name} for name in ("neck", "edge", "strain", "loud", "own-straw")
        },
        "actions": {"neck": {"label": "Neck", "cautions": ["neck"]}},
        "impact_cautions": {3: ["edge"], 5: ["loud"]},
    }
)


def cautions(**fields: object) -> tuple[str, ...]:
    front = {**FIELDS, "goals": ["range"], "impact": 2, "sounding": "hum"}
    return cautions_for(FrontMatter.model_validate({**front, **fields}), VOCABULARY)


def test_nothing_asks_for_no_caution() -> None:
    assert cautions() == ()


def test_manner_impact_and_action_bring_their_own() -> None:
    assert cautions(sounding="calling", impact=4) == ("edge", "strain")
    assert cautions(impact=5) == ("edge", "loud")
    assert cautions(actions=["neck"]) == ("neck",)


def test_a_stronger_impact_keeps_the_cautions_of_the_weaker() -> None:
    """Nobody writes out each of the five: what is left out must not drop a caution."""
    assert [cautions(impact=impact) for impact in range(1, 6)] == [
        (),
        (),
        ("edge",),
        ("edge",),
        ("edge", "loud"),
    ]


def test_each_stands_once_in_the_order_of_the_vocabulary() -> None:
    found = cautions(cautions=["own-straw", "strain"], sounding="calling", impact=4)
    assert found == ("edge", "strain", "own-straw")


HANDBOOK = Path(__file__).parents[2] / "handbook"
#: Exercises in which singers put a hand to their own face: a finger on the chin, a pinched nose.
TOUCH_THE_FACE = (
    *("bell-buoy", "eddies", "five-lanterns", "gangway", "gulls-at-the-galley"),
    *("knots-and-cleats", "loose-tiller", "off-the-latch", "slipway", "stones-at-low-water"),
)


@pytest.mark.parametrize("slug", TOUCH_THE_FACE)
def test_an_exercise_that_touches_the_face_asks_for_clean_hands_by_itself(slug: str) -> None:
    """The author states what is done, and the vocabulary knows what it takes."""
    config, _ = read_chorus_config(HANDBOOK)
    assert config.vocabulary
    text = (HANDBOOK / "exercises" / f"{slug}.md").read_text("utf-8")
    front, _, problems = read_front(EXERCISE, text.split("---\n")[1], slug)
    assert front and problems == []
    assert "clean-hands" not in front.cautions
    assert "clean-hands" in cautions_for(front, config.vocabulary)


@pytest.mark.parametrize("sounding", ["breath", "hiss"])
def test_breath_exercises_think_of_lungs(sounding: str) -> None:
    config, _ = read_chorus_config(HANDBOOK)
    front = FrontMatter.model_validate(
        {**FIELDS, "goals": ["breath-flow"], "impact": 1, "sounding": sounding}
    )
    assert config.vocabulary and "lungs" in cautions_for(front, config.vocabulary)
