"""What stands in the MEI of notes that stand over one another, of grace notes and of accents."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engine import Options, draw
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Degree, Score
from chorus_handbook.pitch import Pitch

MEI = "{http://www.music-encoding.org/ns/mei}"
ID = "{http://www.w3.org/XML/1998/namespace}id"
THIRD, HOME, SECOND = Degree(2), Degree(0), Degree(1)


def text_of(score: Score, chorus: Chorus, tonic: str = "C4", show: Show | None = None) -> str:
    return write_mei(write(score, chorus), Pitch.parse(tonic), show or Show())


def document(score: Score, chorus: Chorus, tonic: str = "C4") -> ET.Element:
    return ET.fromstring(text_of(score, chorus, tonic))


def id_and_pitch(note: ET.Element) -> tuple[str | None, str]:
    return note.get(ID), f"{note.get('pname')}{note.get('oct')}"


def drawn_ids(score: Score, chorus: Chorus) -> list[str]:
    """The ids of all groups that were drawn."""
    body = draw(text_of(score, chorus), Options()).body
    return [piece.partition('"')[0] for piece in body.split('<g id="')[1:]]


def test_divided_notes_stand_over_one_another(build: Any, chorus: Chorus) -> None:
    events = [build.sung(4, 2, "la", below=(THIRD, HOME)), build.sung(5, 2)]
    root = document(build.score([build.part("alto", events)]), chorus)
    (chord,) = root.iter(f"{MEI}chord")
    assert (chord.get("dur"), chord.get(ID)) == ("2", None)
    assert [id_and_pitch(n) for n in chord.iterfind(f"{MEI}note")] == [
        ("alto-1", "g4"),
        ("alto-1.2", "e4"),
        ("alto-1.3", "c4"),
    ]
    assert [n.get("dur") for n in chord.iterfind(f"{MEI}note")] == [None] * 3
    assert [s.text for s in chord.iterfind(f"{MEI}verse/{MEI}syl")] == ["la"]


def test_every_note_of_a_tied_chord_is_tied(build: Any, chorus: Chorus) -> None:
    events = [build.sung(4, 6, below=(THIRD,)), build.sung(5, 2)]
    score = build.score([build.part("alto", events)])
    first, second = document(score, chorus).iter(f"{MEI}chord")
    assert [(n.get(ID), n.get("tie")) for n in (*first, *second)] == [
        ("alto-1", "i"),
        ("alto-1.2", "i"),
        ("alto-1-2", "t"),
        ("alto-1-2.2", "t"),
    ]
    assert drawn_ids(score, chorus) == ["alto-1", "alto-1.2", "alto-1-2", "alto-1-2.2", "alto-2"]


def test_accidentals_of_divided_notes_hold_for_each(build: Any, chorus: Chorus) -> None:
    sharp = build.sung(4, 2, below=(Degree(2, -1),))
    events = [sharp, build.sung(2, 1, alter=-1), build.sung(9, 1)]
    notes = document(build.score([build.part("alto", events)]), chorus).iter(f"{MEI}note")
    assert [n.get("accid") for n in notes] == [None, "f", None, None]  # E5 has none


def test_tied_divided_notes_have_their_accidental_once(build: Any, chorus: Chorus) -> None:
    events = [build.sung(4, 6, below=(Degree(2, -1),)), build.rest(2)]
    notes = document(build.score([build.part("alto", events)]), chorus).iter(f"{MEI}note")
    assert [n.get("accid") for n in notes] == [None, "f", None, None]


def test_one_grace_note_has_a_stroke(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 1), build.sung(2, 3, graces=(SECOND,))]
    root = document(build.score([build.part("alto", events)]), chorus)
    (group,) = root.iter(f"{MEI}graceGrp")
    (grace,) = group
    assert id_and_pitch(grace) == ("alto-2.g1", "d4")
    assert [grace.get(key) for key in ("grace", "dur", "stem.mod")] == ["unacc", "8", "1slash"]


def test_several_grace_notes_share_a_beam(build: Any, chorus: Chorus) -> None:
    """Before the first of tied notes only."""
    events = [build.sung(0, 6, graces=(SECOND, THIRD)), build.rest(2)]
    score = build.score([build.part("alto", events)])
    (beam,) = document(score, chorus).iterfind(f".//{MEI}graceGrp/{MEI}beam")
    assert [(*id_and_pitch(n), n.get("dur")) for n in beam] == [
        ("alto-1.g1", "d4", "16"),
        ("alto-1.g2", "e4", "16"),
    ]
    assert drawn_ids(score, chorus) == ["alto-1.g1", "alto-1.g2", "alto-1", "alto-1-2"]


def test_grace_notes_stand_before_beams_and_tuplets_or_inside(build: Any, chorus: Chorus) -> None:
    """Never first inside a beam, which would take them for notes of its own."""
    line = [build.sung(n, "1/3", graces=(Degree(n + 1),)) for n in range(3)]
    line += [build.sung(n, "1/2", graces=(Degree(n + 1),)) for n in range(2)]
    score = build.score([build.part("alto", [*line, build.sung(0, 2)])])
    root = document(score, chorus)
    layer = root.find(f".//{MEI}layer")
    assert layer is not None
    outside = ["graceGrp", "tuplet", "graceGrp", "beam", "note"]
    assert [element.tag.removeprefix(MEI) for element in layer] == outside
    firsts = [next(iter(beam)).tag for beam in root.iter(f"{MEI}beam")]
    assert firsts == [f"{MEI}note"] * 2
    names = [f"alto-{n}{grace}" for n in range(1, 6) for grace in (".g1", "")]
    assert sorted(drawn_ids(score, chorus)) == sorted([*names, "alto-6"])


def test_an_accidental_of_a_grace_note_holds_through_the_bar(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, graces=(Degree(3, 1),)), build.sung(3, 2, alter=1)]
    notes = document(build.score([build.part("alto", events)]), chorus).iter(f"{MEI}note")
    assert [n.get("accid") for n in notes] == ["s", None, None]


@pytest.mark.parametrize(
    ("accents", "first", "last"),
    [
        (("accent",), "acc", None),
        (("marcato", "tenuto"), "ten marc", None),
        (("accent", "staccato"), "acc", "stacc"),
    ],
)
def test_tied_notes_have_their_accent_once(
    accents: tuple[str, ...], first: str, last: str | None, build: Any, chorus: Chorus
) -> None:
    score = build.score([build.part("alto", [build.sung(0, 8, accents=accents)])])
    notes = document(score, chorus).iter(f"{MEI}note")
    assert [n.get("artic") for n in notes] == [first, last]
    assert "artic" not in text_of(score, chorus, show=Show(marks=False))


def test_the_accent_of_divided_notes_is_the_chords(build: Any, chorus: Chorus) -> None:
    events = [build.sung(4, 4, below=(THIRD,), accents=("staccato", "tenuto"))]
    root = document(build.score([build.part("alto", events)]), chorus)
    (chord,) = root.iter(f"{MEI}chord")
    assert chord.get("artic") == "stacc ten"
    assert [n.get("artic") for n in chord.iter(f"{MEI}note")] == [None, None]


def test_easy_divided_notes_all_stand_in_parentheses(build: Any, chorus: Chorus) -> None:
    events = [build.sung(7, 4, below=(Degree(4),), easy=True)]
    notes = document(build.score([build.part("alto", events)]), chorus).iter(f"{MEI}note")
    assert [n.get("head.mod") for n in notes] == ["paren", "paren"]
