"""What of a file goes to the engraver, and what stays behind."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.engraving.compact import read_drawing
from chorus_handbook.engraving.engine import raw_svg
from chorus_handbook.engraving.losses import losses
from chorus_handbook.engraving.score_file import Names, PreparedFile

NOTE = (
    '<note id="{id}"><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration>'
    "<type>whole</type>{more}</note>"
)
REST = '<note><rest measure="yes"/><duration>4</duration></note>'
LABELS = (("P0", "Soprano", "S"), ("P1", "Alto 2", "A2"))
HEAD = (
    "<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats>"
    "<beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef>{more}</attributes>"
)
MANY = "<measure-style><multiple-rest>{}</multiple-rest></measure-style>"
STOP = '<direction><direction-type><wedge type="stop"/></direction-type></direction>'


def file(*parts: list[str], tail: str = "", before: str = "") -> str:
    """A file of parts, each a list of what is in its measures."""
    names = ["Soprano", "Alto 2", "Tenor"]
    listed = "".join(
        f'<score-part id="P{n}"><part-name font-size="18">{names[n]}</part-name>{tail}</score-part>'
        for n in range(len(parts))
    )
    music = ""
    for p, measures in enumerate(parts):
        inside = "".join(
            f'<measure number="{n}" width="200">{HEAD.format(more="") if n == 1 else ""}{m}'
            "</measure>"
            for n, m in enumerate(measures, 1)
        )
        music += f'<part id="P{p}">{inside}</part>'
    return (
        f'<score-partwise version="4.0">{before}<part-list>{listed}</part-list>{music}'
        "</score-partwise>"
    )


def note(name: str, more: str = "") -> str:
    return NOTE.format(id=name, more=more)


def names(text: str) -> list[tuple[str | None, str | None]]:
    parts = ET.fromstring(text).iter("score-part")
    return [(p.findtext("part-name"), p.findtext("part-abbreviation")) for p in parts]


def measures(text: str, part: int = 0) -> list[ET.Element]:
    return ET.fromstring(text).findall("part")[part].findall("measure")


def test_what_the_author_laid_out_goes_and_what_was_engraved_stays() -> None:
    laid = (
        "<work><work-title>T</work-title></work><identification/><defaults/>"
        "<credit><credit-words>Title</credit-words></credit>"
    )
    words = (
        '<print new-system="yes"/><direction placement="above"><direction-type>'
        '<words font-family="Comic" font-size="30" color="#f00" font-style="italic">dolce</words>'
        "</direction-type></direction>"
    )
    slur = '<notations><slur type="start"/></notations>'
    text = PreparedFile(file([words + note("soprano-1", slur)], before=laid)).text("full")
    for gone in ("work", "identification", "defaults", "credit", "print", "font-size", "#f00"):
        assert gone not in text
    assert '<words font-style="italic">dolce</words>' in text
    assert '<slur type="start" />' in text
    assert 'id="soprano-1"' in text


def test_indented_words_lose_their_blanks() -> None:
    words = "<direction><direction-type><words>\n   poco \n a   poco\n </words></direction-type>"
    text = PreparedFile(file([f"{words}</direction>{note('soprano-1')}"])).text("full")
    assert "<words>poco\na poco</words>" in text


@pytest.mark.parametrize(
    ("paper", "found"),
    [
        ("full", [("Soprano", "S"), ("Alto 2", "A2")]),
        ("short", [("S", "S"), ("A2", "A2")]),
        ("none", [(None, None), (None, None)]),
    ],
)
def test_names_for_each_paper(paper: Names, found: list[tuple[str, str]]) -> None:
    """They are the chorus's own, whatever the file calls its parts."""
    tail = "<part-abbreviation>Other</part-abbreviation>"
    xml = file([note("soprano-1")], [note("alto-1")], tail=tail)
    text = PreparedFile(xml.replace("Soprano", "s").replace("Alto 2", ""), LABELS).text(paper)
    assert [(name or None, short) for name, short in names(text)] == found


def test_a_part_alone_needs_no_name_on_later_systems() -> None:
    alone = PreparedFile(file([note("soprano-1")]), LABELS[:1])
    assert names(alone.text("full")) == [("Soprano", None)]


def test_no_staff_is_hidden_for_single_bars() -> None:
    """Editors hide the empty staves of a printed page."""
    hidden = '<attributes><staff-details print-object="no"/></attributes>'
    xml = file([note("a-1"), note("a-2")], [note("b-1"), hidden + REST])
    assert 'print-object="no"' in xml
    text = PreparedFile(xml).text("full")
    assert "print-object" not in text
    assert losses(text, read_drawing(raw_svg(text))[1]) == []


def test_octave_lines_and_metronome_marks_that_cannot_be_drawn_go() -> None:
    kinds = (
        '<octave-shift type="down" size="{}"/>',
        "<metronome><beat-unit>{}</beat-unit><per-minute>60</per-minute></metronome>",
    )
    for kind, known, unknown in zip(kinds, ("15", "half"), ("27", "long"), strict=True):
        for value, allowed in ((known, True), (unknown, False)):
            sign = f"<direction><direction-type>{kind.format(value)}</direction-type></direction>"
            text = PreparedFile(file([sign + note("a-1")])).text("full")
            assert ("<direction>" in text) == allowed


def test_breaks_stand_in_the_first_part() -> None:
    source = PreparedFile(file([note("a-1"), note("a-2")], [note("b-1"), note("b-2")]))
    text = source.text("full", {1})
    first, second = measures(text), measures(text, 1)
    assert [m.find("print") is not None for m in first] == [False, True]
    assert [m.find("print") is not None for m in second] == [False, False]
    assert source.text("full") == source.text("full")
    assert "print" not in source.text("full")


def test_hairpins_end_with_their_system() -> None:
    source = PreparedFile(file([note("a-1"), STOP + note("a-2"), note("a-3") + STOP]))
    assert [len(m.findall("direction")) for m in measures(source.text("full"))] == [0, 1, 1]
    assert [len(m.findall("direction")) for m in measures(source.text("full", {1}))] == [1, 0, 1]


def test_many_bars_of_rest_stay_one_where_every_part_rests() -> None:
    head = f"<attributes>{MANY.format(2)}</attributes>"
    silent = [head + REST, REST, note("a-1")]
    assert "multiple-rest" in PreparedFile(file(silent, [REST, REST, REST])).text("full")
    assert "multiple-rest" not in PreparedFile(file(silent, [REST, note("b-1"), REST])).text("full")
    assert "multiple-rest" not in PreparedFile(file([REST, REST, REST], silent)).text("full")


def test_shorthand_for_measures_is_written_out() -> None:
    style = '<attributes><measure-style><slash type="start"/></measure-style></attributes>'
    assert "slash" not in PreparedFile(file([style + note("a-1")])).text("full")


def test_measures_are_named_by_their_place_and_numbered_alike() -> None:
    xml = file([note("a-1"), note("a-2")], [note("b-1"), note("b-2")])
    text = PreparedFile(xml.replace('number="2"', 'number="X1"', 1)).text("full")
    for part in (0, 1):
        assert [m.get("number") for m in measures(text, part)] == ["1", "X1"]
        assert [PreparedFile.index(m.get("id", "")) for m in measures(text, part)] == [0, 1]


def test_what_follows_a_repeat_or_a_double_bar_opens() -> None:
    double = "<barline><bar-style>light-light</bar-style></barline>"
    back = '<barline><repeat direction="backward"/></barline>'
    ahead = '<barline location="left"><repeat direction="forward"/></barline>'
    second = '<barline location="left"><ending number="2" type="start"/></barline>'
    row = [note("a-1") + double, note("a-2"), ahead + note("a-3") + back, second + note("a-4")]
    assert PreparedFile(file(row)).opens() == [False, True, True, False]


def test_an_opening_holds_the_notes_of_the_top_staff_alone() -> None:
    lyric = "<lyric><text>la</text></lyric><notations><fermata/><tied type='start'/></notations>"
    direction = "<direction><direction-type><words>x</words></direction-type></direction>"
    low = '<backup><duration>4</duration></backup><note id="low"><staff>2</staff></note>'
    row = [direction + note("a-1", lyric) + low, note("a-2"), note("a-3")]
    text = PreparedFile(file(row, [note("b-1")] * 3)).opening(2)
    root = ET.fromstring(text)
    assert [n.get("id") for n in root.iter("note")] == ["a-1", "a-2"]
    for gone in ("lyric", "fermata", "direction", "low"):
        assert gone not in text
    assert "tied" in text
    assert len(root.findall("part-list/*")) == len(root.findall("part")) == 1


def test_an_opening_shows_the_part_that_enters_first() -> None:
    rest = "<note><rest/><duration>4</duration></note>"
    xml = file([rest, rest, note("a-3")], [rest, note("b-2"), note("b-3")])
    opening = ET.fromstring(PreparedFile(xml).opening(2))
    assert [n.get("id") for n in opening.iter("note")] == [None, "b-2"]
    assert [part.get("id") for part in opening.findall("part")] == ["P1"]


def test_a_staff_without_pitch_shows_no_key() -> None:
    xml = file([note("a-1")], [note("b-1")])
    clef = "<clef><sign>G</sign><line>2</line></clef>"
    head, _, tail = xml.rpartition(clef)
    root = ET.fromstring(
        PreparedFile(f"{head}<clef><sign>percussion</sign></clef>{tail}").text("full")
    )
    keys = [part.findall("measure/attributes/key") for part in root.findall("part")]
    assert [[key.get("print-object") for key in row] for row in keys] == [[None], ["no"]]
