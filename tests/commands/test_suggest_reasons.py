"""The reasons of a suggestion in words: plain, and none twice in one list."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest

from chorus_handbook.commands.suggest_reasons import ReasonWords
from chorus_handbook.warmups.suggesting.reasons import Reason

_DAY = date(2026, 12, 17).toordinal()


@pytest.fixture
def words() -> ReasonWords:
    goals = {name: SimpleNamespace(label=name.capitalize()) for name in ("vowels", "range")}
    vocabulary: Any = SimpleNamespace(goals=goals)
    return ReasonWords(vocabulary)


def test_the_longer_form_is_said_once(words: ReasonWords) -> None:
    known = [[Reason("known", number=number)] for number in (9, 9, 4, 1)]
    assert [words.of_item(one) for one in known] == [
        ["needs no teaching: sung 9 times"],
        ["sung 9 times"],
        ["sung 4 times"],
        ["sung once"],
    ]
    light = "light singing for {goal}, now that the voice is awake"
    stages = [[Reason("stage", light, goal=goal)] for goal in ("vowels", "range", "range")]
    assert [words.of_item(one)[0] for one in stages] == [
        "light singing for vowels, now that the voice is awake",
        "light singing for range",
        "light singing for range too",
    ]
    full = "full singing for {goal}, now that the voice is awake"
    assert words.of_item([Reason("stage", full, goal="range")]) == ["full singing for range"]


def test_a_reason_with_nothing_new_to_say_makes_room_for_the_next(words: ReasonWords) -> None:
    tired, breath = Reason("half-closed"), Reason("stage", "wakes the breath")
    said = [words.of_item([tired, breath]) for _ in range(4)]
    assert said[0] == ["half-closed, so it spares tired voices", "wakes the breath"]
    assert len(said[3]) == 1  # nothing new is left to say
    phrases = [phrase for item in said[:3] for phrase in item]
    assert len(phrases) == len({*phrases})
    assert words.of_item([tired]) == ["half-closed as well"]  # an item is never without a reason


@pytest.mark.parametrize(
    ("reason", "phrase"),
    [
        (
            Reason("known", number=0, planned=(_DAY - 7, _DAY)),
            "needs no teaching (if it is sung on 10 December and 17 December, as planned)",
        ),
        (
            Reason("known", number=2, planned=(_DAY,)),
            "sung twice so far, needs no teaching (if it is sung on 17 December, as planned)",
        ),
        (
            Reason("settling", number=2, planned=(_DAY,)),
            "its second time, so that it settles (if it is sung on 17 December, as planned)",
        ),
        (Reason("learned", number=9), "not sung for 9 weeks, but learned before"),
        (Reason("rests", number=1), "not sung for 1 week"),
        (Reason("again", "opener"), "again, to bring you back together"),
        (Reason("goal", "vowels"), "mainly for vowels, which the music asks for"),
        (Reason("fewer-keys", "concert"), "in fewer keys, to save voices"),
    ],
)
def test_reasons_as_phrases(words: ReasonWords, reason: Reason, phrase: str) -> None:
    assert words.of_item([reason]) == [phrase]
