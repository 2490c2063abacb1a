"""What stands in the MEI: clefs, signatures, syllables, ties, ids."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

MEI = "{http://www.music-encoding.org/ns/mei}"
ID = "{http://www.w3.org/XML/1998/namespace}id"
ALL = ["soprano", "alto", "tenor", "bass"]


def mei(score: Score, chorus: Chorus, tonic: str = "C4", show: Show | None = None) -> ET.Element:
    """The document of a score, read back as XML."""
    return ET.fromstring(write_mei(write(score, chorus), Pitch.parse(tonic), show or Show()))


def notes(root: ET.Element) -> list[ET.Element]:
    return list(root.iter(f"{MEI}note"))


def syllables(root: ET.Element, verse: int = 1) -> dict[str, tuple[str, str, str]]:
    """By the id of the note that holds it: text, connector and place in the word."""
    found = {}
    for note in notes(root):
        for each in note.iterfind(f"{MEI}verse[@n='{verse}']/{MEI}syl"):
            found[note.get(ID, "")] = (
                each.text or "",
                each.get("con", ""),
                each.get("wordpos", ""),
            )
    return found


def test_staves_have_their_clefs_and_signatures(build: Any, chorus: Chorus) -> None:
    parts = [build.part(voice, build.scale(0, 1, 2, 3)) for voice in ("alto", "tenor", "bass")]
    root = mei(build.score(parts), chorus, "Bb3")
    keys = ("clef.shape", "clef.line", "clef.dis", "keysig", "lines")
    assert [tuple(s.get(key) for key in keys) for s in root.iter(f"{MEI}staffDef")] == [
        ("G", "2", None, "2f", "5"),
        ("G", "2", "8", "2f", "5"),
        ("F", "4", None, "2f", "5"),
    ]


def test_speech_stands_on_one_line_without_signature(build: Any, chorus: Chorus) -> None:
    speech = [build.spoken(height, 1) for height in ("middle", "high", "low", "middle")]
    root = mei(build.score([build.part("alto", speech)]), chorus, "D4")
    (staff,) = root.iter(f"{MEI}staffDef")
    assert (staff.get("lines"), staff.get("clef.shape"), staff.get("keysig")) == ("1", "perc", None)
    assert [(n.get("loc"), n.get("head.shape")) for n in notes(root)] == [
        ("0", "x"),
        ("2", "x"),
        ("-2", "x"),
        ("0", "x"),
    ]


def test_speech_between_sung_notes_keeps_the_five_lines(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2), build.spoken("high", 1), build.spoken("low", 1)]
    root = mei(build.score([build.part("alto", events)]), chorus)
    assert [n.get("loc") for n in notes(root)] == [None, "6", "2"]
    assert notes(root)[0].get("pname") == "c"


def test_each_syllable_stands_on_its_note(build: Any, chorus: Chorus) -> None:
    events = [
        build.sung(0, 1, "har-"),
        build.sung(1, 1, "bour-"),
        build.sung(2, 1, "mas"),
        build.sung(3, 1),
        build.sung(4, 2, "ah_"),
        build.sung(5, 2),
        build.rest(4),
        build.sung(0, 4, "oh"),
    ]
    root = mei(build.score([build.part("soprano", events)]), chorus)
    assert syllables(root) == {
        "soprano-1": ("har", "d", "i"),
        "soprano-2": ("bour", "d", "m"),
        "soprano-3": ("mas", "", "t"),
        "soprano-5": ("ah", "u", ""),
        "soprano-7": ("oh", "", ""),
    }


def test_a_tied_note_holds_its_syllable(build: Any, chorus: Chorus) -> None:
    root = mei(
        build.score([build.part("alto", [build.sung(0, 3, "la"), build.sung(1, 5, "lu")])]), chorus
    )
    assert syllables(root) == {"alto-1": ("la", "", ""), "alto-2": ("lu", "u", "")}


def test_verses_stand_under_one_another(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, ["mee", "moh-"]), build.sung(1, 2, [None, "lo"])]
    root = mei(build.score([build.part("alto", events)]), chorus)
    assert syllables(root, 1) == {"alto-1": ("mee", "", "")}
    assert syllables(root, 2) == {"alto-1": ("moh", "d", "i"), "alto-2": ("lo", "", "t")}


def test_ids_are_the_scores_with_suffixes_on_tied_notes(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 3), build.sung(1, 9), build.rest(4)]
    root = mei(build.score(build.together(["soprano", "alto"], events)), chorus)
    found = [(n.get(ID), n.get("tie")) for n in notes(root)]
    assert found == [
        ("soprano-1", None),
        ("soprano-2", "i"),
        ("soprano-2-2", "m"),
        ("soprano-2-3", "t"),
    ]
    assert [r.get(ID) for r in root.iter(f"{MEI}mRest")] == ["rest.1.1"]


def test_no_tied_note_takes_the_id_of_another_voices_note(build: Any, chorus: Chorus) -> None:
    both = {"alto": chorus.voices["alto"], "alto-1": chorus.voices["alto"]}
    odd = chorus.model_copy(update={"voices": both})
    parts = [
        build.part("alto", [build.sung(0, 8)]),
        build.part("alto-1", [build.sung(1, 4), build.sung(2, 4)]),
    ]
    ids = [n.get(ID) for n in notes(mei(build.score(parts), odd))]
    assert len(set(ids)) == len(ids) == 4
    assert "alto-1-2" in ids


def test_ids_are_the_same_in_every_key(build: Any, chorus: Chorus) -> None:
    score = build.score(build.together(ALL, [build.sung(0, "1/3", "la"), build.sung(1, "23/3")]))
    everywhere = {
        tuple(n.get(ID) for n in notes(mei(score, chorus, tonic)))
        for tonic in ("C4", "Db4", "F#4", "B4")
    }
    assert len(everywhere) == 1


def test_a_full_bar_of_silence_is_one_rest(build: Any, chorus: Chorus) -> None:
    events = [build.rest(2), build.rest(1), build.rest(1), build.sung(0, 4)]
    root = mei(build.score([build.part("alto", events)]), chorus)
    assert len(list(root.iter(f"{MEI}mRest"))) == 1
    pickup = mei(
        build.score([build.part("alto", [build.rest(1), build.sung(0, 4)])], pickup=1), chorus
    )
    assert not list(pickup.iter(f"{MEI}mRest"))  # an upbeat is no full bar


def test_free_meter_has_no_sign_and_no_numbers(build: Any, chorus: Chorus) -> None:
    parts = [build.part("alto", build.scale(0, 1, 2))]
    root = mei(build.score(parts, meter="free"), chorus)
    definition = root.find(f".//{MEI}scoreDef")
    assert definition is not None
    assert definition.get("meter.count") is None
    assert [m.get("n") for m in root.iter(f"{MEI}measure")] == [None]


def test_names_can_be_short_or_left_out(build: Any, chorus: Chorus) -> None:
    upper = build.together(["soprano", "alto"], build.scale(0, 1, 2, 3))
    lower = [build.part(voice, build.scale(0, 1, 2, 3)) for voice in ("tenor", "bass")]
    score = build.score([*upper, *lower])

    def labels(show: Show) -> list[str]:
        return [
            "".join(each.itertext()) for each in mei(score, chorus, show=show).iter(f"{MEI}label")
        ]

    assert labels(Show()) == ["Soprano,Alto", "Tenor", "Bass"]
    assert labels(Show(names="short")) == ["S, A", "T", "B"]
    assert labels(Show(names="none")) == []


def test_the_leader_stands_outside_the_choruss_bracket(build: Any, chorus: Chorus) -> None:
    parts = [build.part(v, build.scale(n, 1)) for n, v in enumerate(("leader", "alto", "bass"))]
    root = mei(build.score(parts), chorus)
    (bracket,) = root.iterfind(f".//{MEI}staffGrp[@symbol='bracket']")
    assert [s.get("n") for s in bracket.iter(f"{MEI}staffDef")] == ["2", "3"]


def test_an_accidental_holds_through_a_bar_that_was_cut(build: Any, chorus: Chorus) -> None:
    line = [build.sung(0, 1, alter=1) for _ in range(8)]
    written = write(build.score([build.part("alto", line)]), chorus, {0: Fraction(2)})
    text = write_mei(written, Pitch.parse("C4"))
    assert text.count("<measure") == 3
    assert text.count('right="invis"') == 1
    assert [n.get("accid") for n in notes(ET.fromstring(text))] == ["s", *[None] * 3] * 2


def test_easy_notes_stand_in_parentheses(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2), build.sung(7, 2, easy=True)]
    root = mei(build.score([build.part("alto", events)]), chorus)
    assert [n.get("head.mod") for n in notes(root)] == [None, "paren"]


@pytest.mark.parametrize("text", ["<b>", "a & b", "\"'", "]]>", "\x00\x0b", "\ud800", "é̀😀"])
def test_any_syllable_makes_well_formed_xml(text: str, build: Any, chorus: Chorus) -> None:
    root = mei(build.score([build.part("alto", [build.sung(0, 4, text)])]), chorus)
    printable = text.replace("\x00\x0b", "").replace("\ud800", "")
    assert syllables(root)["alto-1"][0] == printable


def test_another_key_costs_a_fraction_of_a_drawing(
    build: Any, chorus: Chorus, work: Callable[[Callable[[], object]], int]
) -> None:
    """What is laid out once is only written in another key."""
    written = write(build.score(build.together(ALL, build.scale(*range(8)))), chorus)
    tonic = Pitch.parse("D4")
    assert work(lambda: write_mei(written, tonic)) < 10_000
