"""Cautions attached by the vocabulary."""

from __future__ import annotations

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.model import FrontMatter

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
    front = {"title": "A", "summary": "B", "goals": ["range"], "impact": 2, "sounding": "hum"}
    return cautions_for(FrontMatter.model_validate({**front, "minutes": 1, **fields}), VOCABULARY)


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
