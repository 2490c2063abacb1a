"""Breaths, fermatas, glides and dynamics, as MEI says where they stand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree as ET

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.marks import marks
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Degree, RoundEntry, Score, Span


def marked(score: Score, chorus: Chorus) -> list[list[ET.Element]]:
    """The marks of each measure."""
    return [list(ET.fromstring(f"<m>{text}</m>")) for text in marks(write(score, chorus))]


def one(score: Score, chorus: Chorus, name: str) -> tuple[int, ET.Element]:
    """The only mark of a kind, and its measure."""
    ((measure, mark),) = [
        (n, m) for n, found in enumerate(marked(score, chorus)) for m in found if m.tag == name
    ]
    return measure, mark


def test_a_breath_stands_before_the_end_of_its_note(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, breath="breath"), build.sung(1, 2)]
    measure, breath = one(build.score([build.part("alto", events)]), chorus, "breath")
    assert (measure, breath.get("tstamp"), breath.get("staff")) == (0, "2.5", "1")


def test_a_breath_after_a_tied_note_stands_in_its_last_bar(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 6, breath="breath"), build.sung(1, 2)]
    measure, breath = one(build.score([build.part("alto", events)]), chorus, "breath")
    assert (measure, breath.get("tstamp")) == (1, "2.5")


def test_beats_are_those_of_the_meter(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, "3/2", breath="breath"), build.sung(1, "3/2")]
    score = build.score([build.part("alto", events)], meter="6/8")
    assert one(score, chorus, "breath")[1].get("tstamp") == "3.25"  # in eighths


def test_a_staggered_breath_stands_in_parentheses(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 4, breath="staggered"), build.sung(1, 4)]
    score = build.score([build.part("alto", events)])
    assert "".join(one(score, chorus, "dir")[1].itertext()) == "(\u2019)"
    inside = [build.sung(0, 8, staggered=(5,))]
    measure, mark = one(build.score([build.part("alto", inside)]), chorus, "dir")
    assert (measure, mark.get("tstamp")) == (1, "2")


def test_a_hold_stands_on_the_note_that_it_ends(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 6, fermatas=(build.hold(5, 1),)), build.rest(2)]
    measure, fermata = one(build.score([build.part("alto", events)]), chorus, "fermata")
    assert (measure, fermata.get("startid")) == (1, "#alto-1-2")


def test_a_hold_inside_a_note_splits_it(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 4, fermatas=(build.hold(0, 1),))]
    score = build.score([build.part("alto", events)])
    assert one(score, chorus, "fermata")[1].get("startid") == "#alto-1"
    assert [p.id for p in write(score, chorus).placed[0]] == ["alto-1", "alto-1-2"]


def test_a_hold_stands_over_every_staff(build: Any, chorus: Chorus) -> None:
    parts = [
        build.part("soprano", [build.sung(0, 3), build.sung(1, 1, fermatas=(build.hold(0, 1),))]),
        build.part("alto", [build.sung(0, 4)]),
        build.part("tenor", [build.sung(0, 2), build.rest(2)]),
        build.part("bass", [build.rest(4)]),
    ]
    (found,) = marked(build.score(parts), chorus)
    places = [(m.get("staff"), m.get("startid"), m.get("tstamp")) for m in found]
    assert places == [
        ("1", "#soprano-2", None),
        ("2", "#alto-1", None),
        ("3", "#rest.3.1", None),
        ("4", "#rest.4.1", None),
    ]


def test_a_hold_in_the_midst_of_anothers_note_stands_at_its_moment(
    build: Any, chorus: Chorus
) -> None:
    held = build.sung(1, 1, fermatas=(build.hold(0, 1),))
    parts = [
        build.part("soprano", [build.sung(0, 1), held, build.sung(2, 2)]),
        build.part("alto", [build.sung(0, 4)]),
    ]
    (found,) = marked(build.score(parts), chorus)
    assert [(m.get("startid"), m.get("tstamp")) for m in found] == [
        ("#soprano-2", None),
        (None, "2"),
    ]


def test_holds_that_overlap_make_one_fermata_a_staff(build: Any, chorus: Chorus) -> None:
    held = build.sung(0, 4, fermatas=(build.hold(1, 3),))
    short = build.sung(0, 1, fermatas=(build.hold(0, 1),))
    parts = [
        build.part("soprano", [held]),
        build.part("alto", [*build.scale(0, 1, 2), short]),
    ]
    merged = replace(build.score(parts), fermatas=(Span(Fraction(1), Fraction(3)),))
    (found,) = marked(merged, chorus)
    assert [m.get("startid") for m in found] == ["#soprano-1", "#alto-4"]


def test_a_hold_on_a_rest(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2), build.rest(2, fermatas=(build.hold(0, 2),))]
    score = build.score([build.part("alto", events)])
    assert one(score, chorus, "fermata")[1].get("startid") == "#rest.1.1"


def test_a_glide_runs_from_where_it_starts_to_the_next_note(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, glide_at=0), build.sung(4, 2)]
    glide = one(build.score([build.part("alto", events)]), chorus, "gliss")[1]
    assert (glide.get("startid"), glide.get("endid")) == ("#alto-1", "#alto-2")
    late = [build.sung(0, 8, glide_at=7), build.sung(4, 4)]
    measure, glide = one(build.score([build.part("alto", late)]), chorus, "gliss")
    assert (measure, glide.get("startid"), glide.get("endid")) == (1, "#alto-1-3", "#alto-2")


def test_a_glide_to_nowhere_is_left_out(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, glide_at=0), build.rest(2)]
    assert marked(build.score([build.part("alto", events)]), chorus) == [[]]


def test_divided_notes_glide_each_to_its_own(build: Any, chorus: Chorus) -> None:
    events = [
        build.sung(4, 2, glide_at=0, below=(Degree(2),)),
        build.sung(5, 2, below=(Degree(3),)),
    ]
    (found,) = marked(build.score([build.part("alto", events)]), chorus)
    assert [(m.get("startid"), m.get("endid")) for m in found] == [
        ("#alto-1", "#alto-2"),
        ("#alto-1.2", "#alto-2.2"),
    ]


def test_a_slur_runs_from_its_first_note_to_the_last_written_one(
    build: Any, chorus: Chorus
) -> None:
    slurs = (Span(Fraction(3), Fraction(5)), Span(Fraction(8), Fraction(2)))
    events = [
        build.sung(0, 3),
        build.sung(1, 1),
        build.sung(2, 4),
        *build.scale(3, 4),
        build.rest(2),
    ]
    part = build.part("alto", events, slurs=slurs)
    found = marked(build.score([part]), chorus)
    assert [(n, m.get("startid"), m.get("endid")) for n, ms in enumerate(found) for m in ms] == [
        (0, "#alto-2", "#alto-3"),
        (2, "#alto-4", "#alto-5"),
    ]
    tied = [build.sung(0, 2), build.sung(1, 6)]
    part = build.part("alto", tied, slurs=(Span(Fraction(0), Fraction(8)),))
    _, slur = one(build.score([part]), chorus, "slur")
    assert (slur.get("startid"), slur.get("endid")) == ("#alto-1", "#alto-2-2")


def test_a_slur_without_two_notes_at_its_ends_is_left_out(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2), build.sung(1, 6)]  # the second is written as two that are tied
    for onset, length in ((0, 1), (0, 4), (2, 6), (1, 7)):
        slur = Span(Fraction(onset), Fraction(length))
        assert marked(build.score([build.part("alto", events, slurs=(slur,))]), chorus) == [[], []]


def test_dynamics_and_hairpins(build: Any, chorus: Chorus) -> None:
    signs = (build.dynamic("p", 0), build.dynamic("<", 2, 8), build.dynamic(">", 9))
    part = build.part("alto", build.scale(*range(12)), dynamics=signs)
    found = marked(build.score([part]), chorus)
    assert [(m.tag, m.get("form"), m.get("tstamp"), m.get("tstamp2")) for m in found[0]] == [
        ("dynam", None, "1", None),
        (
            "hairpin",
            "cres",
            "3",
            "1m+5",
        ),  # to the end of the second bar, not the start of the third
    ]
    assert [(m.get("form"), m.get("tstamp"), m.get("tstamp2")) for m in found[2]] == [
        ("dim", "2", "0m+5")
    ]
    assert found[0][0].text == "p"


def test_dynamics_after_the_end_are_left_out(build: Any, chorus: Chorus) -> None:
    part = build.part("alto", [build.sung(0, 4)], dynamics=(build.dynamic("f", 4),))
    assert marked(build.score([part]), chorus) == [[]]


def test_the_entries_of_a_round_are_numbered_where_they_come(build: Any, chorus: Chorus) -> None:
    voices = ["soprano", "alto", "tenor", "bass"]
    entries = tuple(RoundEntry((voice,), Fraction(3 * n)) for n, voice in enumerate(voices))
    score = build.score(build.together(voices, build.scale(*range(8))))  # two bars of four
    found = [
        (measure, mark.get("tstamp"), "".join(mark.itertext()))
        for measure, marks in enumerate(marked(replace(score, entries=entries), chorus))
        for mark in marks
        if mark.tag == "dir"
    ]
    # The fourth enters on the ninth beat: on the second of the line, as it is sung again.
    assert found == [(0, "1", "1."), (0, "4", "2."), (0, "2", "4."), (1, "3", "3.")]


def test_entries_at_one_place_of_the_line_stand_together(build: Any, chorus: Chorus) -> None:
    entries = tuple(RoundEntry((v,), Fraction(4 * n)) for n, v in enumerate(["alto", "bass"]))
    score = build.score(build.together(["alto", "bass"], build.scale(0, 1, 2, 3)))
    _, mark = one(replace(score, entries=entries), chorus, "dir")
    assert "".join(mark.itertext()) == "1. 2."
