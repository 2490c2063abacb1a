"""Markup that no singer needs is no reason to refuse a score: pages, instruments, programs, and
signs that are invalid by the schema of MusicXML 4.0. The music stays as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from lxml import etree

from chorus_handbook.music.musicxml.adopt import adopt
from chorus_handbook.music.musicxml.parse import parse, parse_score
from chorus_handbook.music.musicxml.schema import schema_errors
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

Reading = tuple[Score | None, list[Problem]]

SCORE = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><!-- top -->
<part-list>
<score-part id="P1"><part-name>Alto</part-name><!-- part --></score-part>
</part-list>
<part id="P1">
<measure number="1"><!-- bar -->
<attributes><divisions>1</divisions><key><fifths>1</fifths></key>
<time><beats>4</beats><beat-type>4</beat-type></time><!-- attributes --></attributes>
<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>4</duration>
<type>whole</type><!-- note -->
<lyric><syllabic>single</syllabic><text>ah</text></lyric></note>
<barline location="right"><!-- barline --><repeat direction="backward"/></barline>
</measure>
</part>
</score-partwise>
"""
#: Where it stands, and what stands there.
INVALID = {
    "an old encoding date": (
        "top", "<identification><encoding><encoding-date>2008-3-1</encoding-date></encoding>"
        "</identification>",
    ),
    "what the file supports": (
        "top", '<identification><encoding><supports element="print"/></encoding></identification>',
    ),
    "a page of no size": ("top", "<defaults><scaling/></defaults>"),
    "a credit without words": ("top", "<credit page='none'/>"),
    "program 0": (
        "part", '<score-instrument id="P1-I1"><instrument-name>Voice</instrument-name>'
        '</score-instrument><midi-instrument id="P1-I1"><midi-program>0</midi-program>'
        "</midi-instrument>",
    ),
    "channel 0": (
        "part", '<score-instrument id="P1-I1"><instrument-name/></score-instrument>'
        '<midi-instrument id="P1-I1"><midi-channel>0</midi-channel></midi-instrument>',
    ),
    "another instrument": (
        "bar", '<sound><instrument-change><instrument-sound>voice</instrument-sound>'
        "</instrument-change></sound>",
    ),
    "sound attributes of odd values": (
        "bar", '<sound tempo="-1" dynamics="loud" pan="400" forward-repeat="maybe"/>',
    ),
    "a page break of an odd kind": ("bar", '<print new-page="perhaps" staff-spacing="nan"/>'),
    "a margin that is no number": (
        "bar", '<direction><direction-type><words default-x="nan" font-size="12,5">sweetly</words>'
        "</direction-type></direction>",
    ),
    "an instrument nobody has": ("note", '<instrument id="nobody"/>'),
    "a cautionary accidental mark": (
        "note", '<notations><accidental-mark>2</accidental-mark></notations>',
    ),
    "an accidental of another culture": ("note", "<accidental>sharp-99</accidental>"),
    "a technical sign": (
        "note", "<notations><technical><string>0</string><fret>-3</fret></technical></notations>",
    ),
    "a pedal": (
        "bar", '<direction><direction-type><pedal type="down"/></direction-type></direction>',
    ),
    "a stem of no kind": ("note", "<stem>sideways</stem>"),
    "staff details": (
        "attributes", "<staff-details><staff-lines>many</staff-lines></staff-details>",
    ),
    "a bar line of no kind": ("barline", "<bar-style>wavy</bar-style>"),
    "no number of a bar": ('bar', ""),
    "an ending that ends nothing": ("barline", '<ending number="0" type="stop"/>'),
    "ties without number": ("note", ""),
    "a direction without kind": ("bar", "<direction><direction-type/></direction>"),
    "numerals for accompanists": ("bar", "<harmony><root/></harmony>"),
}  # fmt: skip
#: Valid, and layout only.
LAYOUT = {
    "a key that is hidden": ("bar", '<attributes><key print-object="no"/></attributes>'),
    "an ending's position": (
        "barline", '<ending number="1" type="stop" default-y="33.1" end-length="30.55"/>',
    ),
    "a staff of its own size": (
        "attributes", "<staff-details><staff-size>133.333333333333333</staff-size></staff-details>",
    ),
    "positions of words": (
        "bar", '<direction><direction-type><words default-y="4711.5" relative-x="-99999999">soft'
        "</words></direction-type></direction>",
    ),
    "a text in a notehead": (
        "note", "<notehead-text><display-text>do</display-text></notehead-text>",
    ),
}  # fmt: skip


def score(where: str = "", markup: str = "") -> str:
    assert f"<!-- {where} -->" in SCORE or not where
    return SCORE.replace(f"<!-- {where} -->", markup)


def sung(found: Score | None) -> object:
    assert found is not None
    return [(n.onset, n.duration, n.degree, n.syllables) for n in found.parts[0].notes]


@pytest.mark.parametrize("case", {**INVALID, **LAYOUT})
def test_what_no_singer_needs_is_no_reason_to_refuse(
    case: str, read: Callable[..., Reading]
) -> None:
    document = score(*{**INVALID, **LAYOUT}[case])
    if case == "no number of a bar":
        document = document.replace('<measure number="1">', "<measure>")
    elif case == "ties without number":
        document = document.replace("</duration>", "</duration>" + '<tie type="start"/>' * 3)
    plain, _ = read(SCORE)
    found, problems = read(document)
    assert problems == []
    assert sung(found) == sung(plain)
    if case in INVALID:
        assert list(schema_errors(parse(document.encode())))


def test_what_is_valid_is_drawn_as_its_author_made_it(read: Callable[..., Reading]) -> None:
    """Signs that the schema allows stay, needed or not."""
    cached = (
        "<notations><ornaments><trill-mark/></ornaments><technical><up-bow/></technical>"
        '<slur type="start" number="1" placement="above"/></notations>'
    )
    found, _ = read(score("note", cached))
    assert found and found.file and cached in found.file.xml


def test_an_unknown_accidental_is_written_plainly(read: Callable[..., Reading]) -> None:
    found, _ = read(score("note", '<accidental cautionary="yes">slash-quarter-sharp</accidental>'))
    assert found and found.file
    assert '<accidental cautionary="yes">sharp</accidental>' in found.file.xml


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("<octave>4", "<octave>high", "Bar 1 of Alto: The file is not valid MusicXML here: Element "
         "'octave'"),
        ('direction="backward"', 'direction="back"', "Bar 1 of Alto: The file is not valid "),
        ('location="right"', 'location="somewhere"', ""),
        ("<fifths>1", "<fifths>some", "Bar 1 of Alto: The file is not valid MusicXML here: "),
        ("<duration>4</duration>", "", "Bar 1 of Alto: The file is not valid MusicXML here: "),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_music_is_told_with_bar_and_part(
    old: str, new: str, message: str, read: Callable[..., Reading]
) -> None:
    assert old in SCORE
    _, problems = read(SCORE.replace(old, new))
    assert [problem.message[: len(message)] for problem in problems] == ([message] * bool(message))


def test_a_score_on_one_line_and_in_the_other_form_tells_bars_too() -> None:
    """The line alone would say nothing."""
    note = "<note><pitch><step>{}</step><octave>4</octave></pitch><duration>{}</duration></note>"
    head = "<attributes><divisions>1</divisions></attributes>"
    names = "".join(
        f'<score-part id="P{n}"><part-name>{name}</part-name></score-part>'
        for n, name in enumerate(("Soprano", ""), 1)
    )
    measures = "".join(
        f'<measure number="{number}">'
        + "".join(
            f'<part id="P{part}">{head if number == 7 else ""}{note.format(step, 4)}</part>'
            for part, step in enumerate(steps, 1)
        )
        + "</measure>"
        for number, steps in ((7, "CE"), (8, "DH"))
    )
    document = f"<score-timewise><part-list>{names}</part-list>{measures}</score-timewise>"
    _, errors = parse_score(document.encode())
    assert [error.place("a").bar for error in errors] == ["bar 8 of part 2"] * len(errors) != []


def test_taking_in_keeps_the_author_s_layout() -> None:
    """The file in the folder scores can be opened in an editor again as it was."""
    document = score("top", "<defaults><scaling><millimeters>7</millimeters><tenths>40</tenths>"
                     "</scaling></defaults>")  # fmt: skip
    taken = etree.fromstring(adopt(document.encode(), {"Alto": "Tenor"}).document)
    assert taken.findtext("defaults/scaling/tenths") == "40"
    assert taken.findtext("part-list/score-part/part-name") == "Tenor"
    assert taken.findtext("part/measure/attributes/key/mode") in ("major", "minor")


def test_a_picture_for_a_syllable_is_told_with_bar_and_part(read: Callable[..., Reading]) -> None:
    _, problems = read(SCORE.replace(">ah<", ">\N{GRINNING FACE}<"))
    (problem,) = problems
    assert problem.message.startswith("Bar 1 of Alto: The syllable ")
    assert problem.code == "notation-token"
