"""Parts that nobody sings, or too few (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.parts import check_parts
from chorus_handbook.warmups.running_order import PlannedItem, VoiceRange
from running_orders import CHORD, VOICES, order

LABELS = {**VOICES, "tenor": VoiceRange("Tenor", 48, 65), "bass": VoiceRange("Bass", 41, 60)}
EACH = (frozenset({"soprano"}), frozenset({"tenor"}), frozenset({"bass"}))
SHARED = (frozenset({"soprano"}), frozenset({"tenor", "bass"}))
ALL = frozenset(LABELS)


def found(item: PlannedItem, *few: str) -> list[str]:
    made = order(item, voices=LABELS, few=frozenset(few))
    return [finding.message for finding in check_parts(made)]


def chord(parts: tuple[frozenset[str], ...], there: frozenset[str] = ALL) -> PlannedItem:
    return replace(CHORD, parts=parts, there=there)


def test_two_tenors_get_no_line_of_their_own() -> None:
    (message,) = found(chord(EACH), "tenor")
    assert (
        '"Chord" (item) gives Tenor a line of its own, for which there are only one or two singers'
        in message
    )
    assert found(chord(EACH)) == []


def test_a_line_that_is_shared_is_enough() -> None:
    assert found(chord(SHARED), "tenor") == []
    assert found(chord((ALL,)), "tenor") == []
    (message,) = found(chord(SHARED, ALL - {"bass"}), "tenor")  # the basses are not there yet
    assert "Tenor" in message


def test_a_line_that_nobody_is_there_to_sing() -> None:
    absent = chord(EACH, ALL - {"bass"})
    (message,) = found(absent)
    assert "3 different lines, and nobody is there to sing that of Bass" in message
    assert found(replace(absent, is_round=True)) == []


def test_an_author_who_names_the_voice_has_thought_of_it() -> None:
    assert found(replace(chord(EACH), comment="Tenors sing with the basses."), "tenor") == []
    assert found(replace(chord(EACH), comment="Softly."), "tenor")
