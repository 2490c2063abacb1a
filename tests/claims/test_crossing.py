"""Crossed voices."""

from dataclasses import replace

from chorus_handbook.claims.crossing import check_crossing
from chorus_handbook.music.score import Degree


def found(make, *parts, key="C4", **score):
    return list(check_crossing(make.subject(make.score(*parts, **score), make.facts({}, key))))


def test_unison_and_lines_in_order_pass(make):
    parts = (make.part("soprano", 3, 2, 5), make.part("alto", 3, 1, 1))
    assert found(make, *parts) == []
    assert list(check_crossing(make.subject(make.score(*parts)))) == []


def test_crossing_names_bar_and_notes_once(make):
    parts = (
        make.part("soprano", 5, 5, 5, 5, 1, 1),
        make.part("alto", 3, 3, 3, 3, 2, 2),
    )
    (problem,) = found(make, *parts, key="D4")
    assert (problem.code, problem.severity) == ("crossed-voices", "notice")
    assert problem.place.column == 5
    assert problem.message == "In bar 2, alto sings E4, above soprano on D4 (in the first key)."


def test_octave_of_the_voice_counts(make):
    parts = (make.part("alto", 1), make.part("tenor", 8, octave=-1))
    assert found(make, *parts) == []
    parts = (make.part("alto", 1), make.part("tenor", 9, octave=-1))
    (problem,) = found(make, *parts)
    assert "tenor sings D4, above alto on C4" in problem.message


def test_only_what_sounds_together_can_cross(make):
    parts = (make.part("soprano", 1, 0, 5), make.part("alto", 0, 3, 1))
    assert found(make, *parts) == []
    held = (make.part("soprano", (5, 2), 1), make.part("alto", 1, 1, (3, 1)))
    (problem,) = found(make, *held)
    assert "E4, above soprano on C4" in problem.message


def test_a_long_note_meets_every_short_one(make):
    parts = (make.part("soprano", (2, 4)), make.part("alto", 1, 1, 1, 3))
    (problem,) = found(make, *parts)
    assert problem.place.column == 4


def test_speech_and_the_leader_cross_nobody(make):
    parts = (make.part("leader", 1), make.part("soprano", 3), make.part("alto", "x"))
    assert found(make, *parts) == []


def test_same_line_is_exempt_and_each_pair_told(make):
    pair = ("alto", "tenor")
    parts = (
        make.part("soprano", 1),
        make.part("alto", 3, shares=pair),
        make.part("tenor", 3, octave=1, shares=pair),
    )
    messages = [p.message for p in found(make, *parts)]
    assert len(messages) == 2
    assert not any("above alto" in message for message in messages)


def test_pickup_is_named(make):
    parts = (make.part("soprano", 1, 1), make.part("alto", 2, 1))
    (problem,) = found(make, *parts, pickup=1)
    assert problem.message.startswith("In the pickup, alto")
    parts = (make.part("soprano", 1, 1), make.part("alto", 1, 2))
    (problem,) = found(make, *parts, pickup=1)
    assert problem.message.startswith("In bar 1, alto")


def divided(part, *below):
    """The part with its first note divided."""
    notes = tuple(Degree(step) for step in below)
    return replace(part, events=(replace(part.events[0], below=notes), *part.events[1:]))


def test_all_notes_of_a_voice_that_divides_count(make):
    soprano, alto = make.part("soprano", 5), make.part("alto", 3)
    assert found(make, divided(soprano, 2), divided(alto, 0)) == []
    (problem,) = found(make, divided(soprano, 3, 1), alto)
    assert problem.message == "In bar 1, alto sings E4, above soprano on D4 (in the first key)."
    (problem,) = found(make, divided(soprano, 1), divided(alto, 0))
    assert problem.message == "In bar 1, alto sings E4, above soprano on D4 (in the first key)."
