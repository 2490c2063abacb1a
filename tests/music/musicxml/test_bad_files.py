"""Score files that are damaged, made to do harm, or not what the handbook can use: each is refused
at the right line with a hint, and quickly."""

from __future__ import annotations

import errno
import io
import os
import struct
import tracemalloc
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.musicxml.adopt import adopt
from chorus_handbook.music.musicxml.parse import ScoreFileError
from chorus_handbook.music.musicxml.reader import read_musicxml
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place, Problem

Reading = tuple[Score | None, list[Problem]]
EXPORT = "Export the score again from the notation editor"

NOTE = "<note><pitch><step>{}</step><octave>4</octave></pitch><duration>{}</duration></note>"
ATTRIBUTES = (
    "<attributes><divisions>1</divisions><key><fifths>0</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
)
BAR = ATTRIBUTES + NOTE.format("C", 4)


def document(*bars: str, name: str = "Alto", more: str = "", parts: str = "") -> str:
    """A score of one part: its part-list on line 3, its first measure on line 6, one a line."""
    music = "\n".join(f'<measure number="{n}">{bar}</measure>' for n, bar in enumerate(bars, 1))
    return (
        '<?xml version="1.0"?>\n<score-partwise version="4.0">\n'
        f'<part-list><score-part id="P1"><part-name>{name}</part-name></score-part>{more}'
        f'</part-list>\n<part id="P1">\n\n{music}\n</part>{parts}</score-partwise>\n'
    )


def packed(members: dict[str, str | bytes]) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return data.getvalue()


def container(path: str) -> str:
    return f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'


CONTAINER = "META-INF/container.xml"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "handbook" / "scores").mkdir(parents=True)
    return tmp_path / "handbook"


@pytest.fixture
def problem(root: Path, chorus: Chorus) -> Callable[..., Problem]:
    """The one problem that an exercise has with a file of the handbook."""

    def problem_of(name: str = "scores/a.musicxml", data: bytes | str | None = None) -> Problem:
        if data is not None:
            path = root / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data.encode() if isinstance(data, str) else data)
        notation = Notation("score", name, Place("handbook/exercises/low-tide.md", 12, 8))
        score, problems = read_musicxml(notation, chorus, tuple(chorus.voices), root=root)
        assert score is None
        (found,) = problems
        assert len(found.hint) > 20
        assert "\n" not in found.message + found.hint
        assert len(found.message) < 300
        return found

    return problem_of


def test_what_the_cases_are_made_of_is_read(read: Callable[..., Reading]) -> None:
    """So that each of them is refused for its own fault."""
    score, problems = read(document(BAR, NOTE.format("E", 4)))
    assert problems == []
    assert score is not None
    assert score.length == 8


def test_truncated_anywhere(read: Callable[..., Reading]) -> None:
    whole = document(BAR, NOTE.format("E", 4)).strip()
    for end in range(1, len(whole), 7):
        score, (first, *_) = read(whole[:end])
        assert score is None
        assert first.code == "score-file", whole[:end]
        assert first.place.path == "case.musicxml"
        assert 1 <= first.place.line <= whole[:end].count("\n") + 1
        assert first.message.startswith("This score file is incomplete: it breaks off ")
        assert EXPORT in first.hint


def test_the_part_bar_or_note_that_is_cut_off_is_named(read: Callable[..., Reading]) -> None:
    whole = document(BAR, NOTE.format("E", 4)).strip()
    for name, start in (("part", "<part id"), ("bar", "<measure"), ("note", "<note")):
        end = whole.index(">", whole.rindex(start)) + 1
        line = whole[:end].count("\n") + 1
        _, (first, *_) = read(whole[:end])
        assert first.message == (
            f"This score file is incomplete: it breaks off inside the {name} that begins in "
            f"line {line}."
        )


BILLION = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10 if n else "ha" * 10}">\n' for n in range(10))
NOT_A_SCORE = {
    "plain text": (
        "C D E F",
        1,
        "This file is not a score: a score in MusicXML begins with the sign <.",
        "may have been cut off",
    ),
    "a page": (
        "<html><body/></html>",
        1,
        'not a score: it begins with the element "html".',
        "as MusicXML",
    ),
    "another format": (
        '<mei xmlns="http://www.music-encoding.org/ns/mei"/>',
        1,
        'The file is not a score: it begins with the element "mei".',
        "Files in the format of the editor itself cannot be read",
    ),
    "a sound file of the standard": (
        "<opus/>",
        1,
        'it begins with the element "opus".',
        "as MusicXML",
    ),
    "entities": (
        f"<!DOCTYPE a [\n{BILLION}]>\n<score-partwise>&a9;</score-partwise>",
        1,
        "declares a document type or entities of its own",
        "as MusicXML",
    ),
    "an external entity": (
        '<!DOCTYPE score-partwise [\n<!ENTITY a SYSTEM "file:///etc/hosts">\n]>\n'
        "<score-partwise>&a;</score-partwise>",
        1,
        "declares a document type or entities of its own",
        "as MusicXML",
    ),
    "an entity nobody declared": (
        document(BAR, name="&alto;"),
        3,
        'This score file contains "&alto;", which means nothing in MusicXML.',
        "may have been cut off",
    ),
    "elements it does not know": (
        document(BAR.replace("duration", "length")),
        6,
        "Bar 1 of Alto: The file is not valid MusicXML here: Element 'length': ",
        EXPORT,
    ),
    "a namespace": (
        document(BAR).replace("<score-partwise ", '<score-partwise xmlns="urn:x" '),
        2,
        'The file is a score of another format: it begins with the element "score-partwise".',
        "as MusicXML",
    ),
    "no parts": (
        '<score-partwise><part-list><score-part id="P1"><part-name/></score-part></part-list>'
        "</score-partwise>",
        1,
        "Missing child element(s). Expected is ( part )",
        EXPORT,
    ),
    "an encoding it is not in": (
        document(BAR, name="Ält").encode("latin-1").replace(b"?>", b' encoding="utf-8"?>', 1),
        3,
        "contains letters that are not in the character encoding that its first line names",
        "may have been cut off",
    ),
    "an encoding nobody knows": (
        '<?xml version="1.0" encoding="tide"?>\n<score-partwise/>',
        1,
        "The first line of this score file names a character encoding that is not known.",
        "may have been cut off",
    ),
    "an end inside another element": (
        document(BAR.replace("</note>", "", 1)),
        6,
        'This score file is damaged: "note", which begins in line ',
        "may have been cut off",
    ),
    "a character that no text may have": (
        document(BAR, name="Al\x01to"),
        3,
        "This score file contains a character that is not allowed in MusicXML.",
        "may have been cut off",
    ),
    "deep nesting": (
        "<a>" * 100_000,
        1,
        "This score file is damaged here, so nothing can be read from this place on.",
        "may have been cut off",
    ),
}


@pytest.mark.parametrize("case", NOT_A_SCORE)
def test_what_is_no_score(case: str, problem: Callable[..., Problem]) -> None:
    data, line, message, hint = NOT_A_SCORE[case]
    found = problem(data=data)
    assert (found.place.path, found.place.line) == ("handbook/scores/a.musicxml", line)
    assert found.code == "score-file"
    assert message in found.message
    assert hint in found.hint


def chord(size: int) -> str:
    notes = "".join(
        f"<note>{'<chord/>' if n else ''}<pitch><step>{'CDEFGAB'[n % 7]}</step><octave>{n // 7 + 2}"
        "</octave></pitch><duration>4</duration></note>"
        for n in range(size)
    )
    return ATTRIBUTES + notes


PART = "<part-name>{}</part-name></score-part>"
MUSIC = {
    "divisions 0": (
        [BAR.replace("<divisions>1", "<divisions>0")], 6,
        "score-file", "is not valid MusicXML here: Element 'divisions'", EXPORT,
    ),
    "divisions too fine": (
        [BAR.replace("<divisions>1", "<divisions>99999999")], 6,
        "notation-token", 'The element "divisions" cannot have the value "99999999".', EXPORT,
    ),
    "durations that have no common measure": (
        [
            BAR.replace("1</div", "999983</div").replace(">4</dur", ">3</dur"),
            BAR.replace("1</div", "999979</div").replace(">4</dur", ">3</dur"),
        ], 7, "notation-token", "which is not possible", "note values",
    ),
    "a note too long to be": (
        [BAR.replace(">4</duration>", ">400</duration>")], 6,
        "notation-token", "Something in this bar lasts 400 quarters", "note values",
    ),
    "a number of a thousand digits": (
        [BAR.replace(">4</duration>", f">{'4' * 1000}</duration>")], 6,
        "score-file", "The number \"44444", EXPORT,
    ),
    "a backup before the bar": (
        [BAR + "<backup><duration>8</duration></backup>"], 6,
        "notation-token", "Some notes of this bar would begin before the bar does.", EXPORT,
    ),
    "overlapping notes": (
        [BAR + "<backup><duration>3</duration></backup>" + NOTE.format("E", 3)], 6,
        "notation-token", "do not begin and end together", "second voice",
    ),
    "a bar too long": (
        [BAR, NOTE.format("C", 5)], 7,
        "bar-length", "This bar lasts 5 quarters, but a bar of 4/4 lasts 4.", "note values",
    ),
    "a bar of many quarters": (
        [BAR.replace("<beats>4</beats><beat-type>4</beat-type>", "<senza-misura/>") + BAR * 16], 6,
        "notation-size", "more than 64 quarters", "note values",
    ),
    "da capo": (
        [BAR + '<sound dacapo="yes"/>'], 6,
        "notation-token", "a jump to another place here (da capo", "write the music out",
    ),
    "dal segno": (
        [
            BAR + "<direction><direction-type><words>D.S.</words></direction-type>"
            '<sound dalsegno="s"/></direction>'
        ], 6, "notation-token", "a jump to another place", "write the music out",
    ),
    "microtones": (
        [BAR.replace("</step>", "</step><alter>0.5</alter>")], 6,
        "notation-token", "altered by 0.5 semitones", "sharps, flats or naturals",
    ),
    "a free key": (
        [BAR.replace("<fifths>0</fifths>", "<key-step>F</key-step><key-alter>1</key-alter>")], 6,
        "notation-header", "neither major nor minor", "major or minor key",
    ),
    "a free key later on": (
        [
            BAR,
            "<attributes><key><key-step>F</key-step><key-alter>1</key-alter></key></attributes>"
            + NOTE.format("C", 4),
        ], 7, "notation-header", "Bar 2 of Alto: This key signature", "major or minor key",
    ),
    "locrian": (
        [BAR.replace("</fifths>", "</fifths><mode>locrian</mode>")], 6,
        "notation-header", 'does not support the mode "locrian".', "major or minor key",
    ),
    "too many sharps": (
        [BAR.replace("<fifths>0", "<fifths>9")], 6,
        "notation-header", "signature of 9 sharps or flats", "major or minor key",
    ),
    "too many sharps as they sound": (
        [
            BAR.replace("<fifths>0", "<fifths>7").replace(
                "</attributes>",
                "<transpose><diatonic>1</diatonic><chromatic>2</chromatic></transpose></attributes>",
            )
        ], 6, "notation-header", "more than 7 sharps or flats", "major or minor key",
    ),
    "a meter of nothing": (
        [BAR.replace("<beats>4", "<beats>0")], 6,
        "notation-header", "The handbook does not support this meter.", "at most 32 beats",
    ),
    "a meter in words": (
        [BAR.replace("<beats>4", "<beats>some")], 6,
        "notation-header", "The handbook does not support this meter.", "at most 32 beats",
    ),
    "no notes": (
        [ATTRIBUTES, ATTRIBUTES], 1,
        "notation-line", "There are no notes in this score.", EXPORT,
    ),
    "a note beyond hearing": (
        [BAR.replace("<octave>4", "<octave>9").replace("<step>C", "<step>B")], 6,
        "notation-token", "This note is too high or too low for any voice.", "octave",
    ),
    "a chord of the whole keyboard": (
        [chord(20)], 6, "notation-token", "more than 16 notes", "nobody sings",
    ),
    "a repeat for ever": (
        [BAR + '<barline><repeat direction="backward" times="999999999"/></barline>'], 6,
        "score-file", "the element \"repeat\" is too large.", EXPORT,
    ),
    "an ending for a far time": (
        [
            '<barline location="left"><ending number="1, 999999999" type="start"/></barline>' + BAR
        ], 6, "score-file", "the element \"ending\" is too large.", EXPORT,
    ),
    "an ending without a way back": (
        [BAR, '<barline location="left"><ending number="2" type="start"/></barline>' + BAR], 7,
        "notation-token", "There is no ending for time 1.", "Number the endings",
    ),
    "a staff far below": (
        [BAR.replace("</note>", "<staff>99</staff></note>")], 6,
        "score-file", "the element \"staff\" is too large.", EXPORT,
    ),
    "300 bars": (
        [BAR] * 300, 1, "notation-size", "300 bars, but an exercise can have at most 200.",
        "export only the bars",
    ),
    "too many bars with its repeats": (
        [BAR + '<barline><repeat direction="backward" times="3"/></barline>'] * 100, 3,
        "notation-size", "From here on the exercise has more than 200 bars, repeats included.",
        "Split the exercise",
    ),
    "25,000 notes": (
        [BAR + "<note><grace/><pitch><step>C</step><octave>4</octave></pitch></note>" * 25_000], 1,
        "notation-size", "This score has 25,001 notes", "export only the bars",
    ),
    "a verse for every note": (
        [
            BAR.replace("</note>", "".join(
                f'<lyric number="{n}"><text>la</text></lyric>' for n in range(5000)
            ) + "</note>")
        ], 1, "notation-size", "This score has 5,000 verses", "export only the bars",
    ),
    "30,000 hairpins": (
        [
            BAR + '<direction><direction-type><wedge type="stop"/></direction-type></direction>'
            * 30_000
        ], 1, "notation-size", "This score has 30,001 signs", "export only the bars",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", MUSIC)
def test_what_is_no_music(case: str, problem: Callable[..., Problem]) -> None:
    bars, line, code, message, hint = MUSIC[case]
    found = problem(data=document(*bars))
    assert (found.place.line, found.code) == (line, code)
    assert found.place.path == "handbook/scores/a.musicxml"
    assert message in found.message
    assert hint in found.hint


def others(*names: str) -> tuple[str, str]:
    """Further entries of the part-list, and their parts."""
    entries = "".join(
        f'\n<score-part id="P{n}">{PART.format(name)}' for n, name in enumerate(names, 2)
    )
    parts = "".join(
        f'\n<part id="P{n}">\n<measure number="1">{BAR}</measure>\n</part>'
        for n in range(2, len(names) + 2)
    )
    return entries, parts


SECOND = (
    BAR
    + "<backup><duration>4</duration></backup>"
    + "".join(NOTE.format(step, 2).replace("</note>", "<voice>2</voice></note>") for step in "EF")
)
THIRD = SECOND + SECOND.removeprefix(BAR).replace("<voice>2", "<voice>3")
WHO = {
    "no name": (document(BAR, name="", more=others("Bass")[0], parts=others("Bass")[1]), 3,
        "This part has no name, so it is not clear who sings it.", '"soprano", "alto"'),
    "a error": (document(BAR, name="Sporano"), 3,
        'There is no voice or group called "Sporano".', 'Did you mean "soprano"?'),
    "an instrument": (document(BAR, name="Piano reduction"), 3,
        'There is no voice or group called "Piano reduction".', "name the part"),
    "a name without end": (document(BAR, name="a " * 200_000), 3,
        "The name of this part is too long.", EXPORT),
    "a voice twice": (document(BAR, more=others("Altos")[0], parts=others("Altos")[1]), 4,
        '"alto" already sings in the part "Alto".', "other voices"),
    "a group and one of it": (document(BAR, more=others("upper")[0], parts=others("upper")[1]), 4,
        '"alto" already sings in the part "Alto".', "other voices"),
    "more voices than names": (document(THIRD, name="Soprano, Alto"), 3,
        '"Soprano, Alto" has 3 lines of music, but its name means 2 voices', "from the top"),
    "two voices and no name": (document(SECOND, name=""), 3,
        "This part has 2 lines of music, but no name", "from the top"),
    "a second voice of its own": (document(SECOND), 6,
        "a second voice of this part has a rhythm of its own", 'joined with "+"'),
    "not in the list": (document(BAR, parts=others("Bass")[1]), 8,
        'The part "P2" is not in the file\'s list of parts', EXPORT),
    "told of, but not there": (document(BAR, more=others("Bass")[0]), 0, "", ""),
    "two of one id": (document(BAR, parts=others("Bass")[1].replace("P2", "P1")), 8,
        "Two parts of this score have the same id.", EXPORT),
    "unequal numbers of bars": (document(BAR, BAR, more=others("Bass")[0], parts=others("Bass")[1]),
        1, "same number of bars: some have 1, others 2.", EXPORT),
    "200 parts": (document(BAR, more=others(*["Bass"] * 199)[0], parts=others(*["Bass"] * 199)[1]),
        1, "This score has 200 parts, but an exercise can have at most 32.", "export only"),
}  # fmt: skip


@pytest.mark.parametrize("case", [case for case in WHO if WHO[case][1]])
def test_who_sings(case: str, problem: Callable[..., Problem]) -> None:
    data, line, message, hint = WHO[case]
    found = problem(data=data)
    assert found.place.line == line
    assert message in found.message
    assert hint in found.hint


def test_part_that_is_only_told_of_is_nobody_s_business(read: Callable[..., Reading]) -> None:
    score, problems = read(WHO["told of, but not there"][0])
    assert problems == []
    assert score is not None
    assert [part.voice for part in score.parts] == ["alto"]


def test_two_parts_of_one_id_in_the_other_form(problem: Callable[..., Problem]) -> None:
    part = f'<part id="P1">{BAR}</part>\n'
    data = (
        '<score-timewise><part-list><score-part id="P1"><part-name>Alto</part-name></score-part>'
        f'</part-list>\n<measure number="1">\n{part}{part}</measure></score-timewise>'
    )
    found = problem(data=data)
    assert (found.place.line, found.message) == (
        4,
        "Alto: Two parts of this score have the same id.",
    )


def test_bars_without_anything_are_passed_over(read: Callable[..., Reading]) -> None:
    score, _ = read(document(BAR, "", NOTE.format("E", 4), ""))
    assert score is not None
    assert (score.bar_starts, score.length) == ((0, 4), 8)


def test_rests_alone_are_silence(read: Callable[..., Reading]) -> None:
    """A score may be silent: whoever sings it has a part without notes."""
    rest = "<note><rest/><duration>4</duration></note>"
    score, problems = read(document(ATTRIBUTES + rest, rest))
    assert problems == []
    assert score is not None
    assert [part.notes for part in score.parts] == [()]
    assert score.length == 8


INSIDE = document(BAR)
PACKED = {
    "no container": ({"a.xml": INSIDE}, 'does not contain "META-INF/container.xml".'),
    "a container that is no XML": ({CONTAINER: "x", "a.xml": INSIDE}, "is not a score"),
    "a container that names nothing": (
        {CONTAINER: "<container/>", "a.xml": INSIDE},
        "does not say which of its files is the score",
    ),
    "a container with entities": (
        {CONTAINER: f"<!DOCTYPE a [{BILLION}]><a>&a9;</a>", "a.xml": INSIDE},
        "declares a document type or entities of its own",
    ),
    "a score that is not there": (
        {CONTAINER: container("b.xml")}, 'The packed file does not contain "b.xml".',
    ),
    "a score above": ({CONTAINER: container("../x")}, "names a score outside itself"),
    "a score anywhere": ({CONTAINER: container("/etc/hosts")}, "names a score outside itself"),
    "a score on a disk": ({CONTAINER: container("..\\x")}, "names a score outside itself"),
    "too many members": (
        {CONTAINER: container("a"), **{f"{n}": "" for n in range(300)}}, "contains too many files",
    ),
    "a folder": ({CONTAINER: container("a/"), "a/": ""}, "This score file is empty."),
}  # fmt: skip


@pytest.mark.parametrize("case", PACKED)
def test_packed_file(case: str, problem: Callable[..., Problem]) -> None:
    members, message = PACKED[case]
    found = problem("scores/a.mxl", packed(dict(members)))
    assert found.code == "score-file"
    assert message in found.message
    assert EXPORT in found.hint


def test_names_of_other_members_do_no_harm(root: Path, chorus: Chorus) -> None:
    """Nothing is unpacked to the disk, so a path out of the folder leads nowhere."""
    data = packed({"../x": "evil", "/y": "evil", CONTAINER: container("a.xml"), "a.xml": INSIDE})
    (root / "scores" / "a.mxl").write_bytes(data)
    notation = Notation("score", "scores/a.mxl", Place("a.md"))
    score, problems = read_musicxml(notation, chorus, (), root=root)
    assert problems == []
    assert score is not None
    assert sorted(path.name for path in root.parent.rglob("*") if path.is_file()) == ["a.mxl"]


@pytest.mark.parametrize("member", ["a.xml", CONTAINER])
def test_zip_bomb(member: str, problem: Callable[..., Problem]) -> None:
    """200 MB of blanks weigh 200 kB when packed; they are not unpacked."""
    members = {CONTAINER: container("a.xml"), "a.xml": INSIDE, member: b" " * 200_000_000}
    data = packed(members)
    del members
    assert len(data) < 400_000
    tracemalloc.start()
    found = problem("scores/a.mxl", data)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert found.code == "file-size"
    assert "larger than 4 MB" in found.message
    assert peak < 30_000_000


def test_size_that_lies(problem: Callable[..., Problem]) -> None:
    """The archive says that a large member is small."""
    data = packed({CONTAINER: container("a.xml"), "a.xml": b" " * 9_000_000})
    lie = data.replace(struct.pack("<I", 9_000_000), struct.pack("<I", 100))
    assert lie != data
    assert problem("scores/a.mxl", lie).code in ("score-file", "file-size")


def test_encrypted(problem: Callable[..., Problem]) -> None:
    data = bytearray(packed({CONTAINER: container("a.xml"), "a.xml": INSIDE}))
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.find(mark)
        while at >= 0:
            data[at + flags] |= 1
            at = data.find(mark, at + 1)
    found = problem("scores/a.mxl", bytes(data))
    assert (found.code, found.place.line) == ("score-file", 12)
    assert found.message == "The packed file is damaged and cannot be unpacked."


def test_damaged_packing_anywhere(problem: Callable[..., Problem]) -> None:
    data = packed({CONTAINER: container("a.xml"), "a.xml": INSIDE})
    for end in range(2, len(data), 7):
        assert problem("scores/a.mxl", data[:end]).code == "score-file"


FILES = {
    "packed, but called plain": ("scores/a.musicxml", packed({"a": "b"}), "score-file",
        "The file is packed, but its name ends in .musicxml.", 'ends in ".mxl"'),
    "plain, but called packed": ("scores/a.mxl", INSIDE, "score-file",
        "The file is not packed, but its name ends in .mxl.", 'ends in ".musicxml"'),
    "empty": ("scores/a.musicxml", "", "file-empty", "The file is empty.", EXPORT),
    "blank": ("scores/a.musicxml", b"\0\n \0", "file-empty", "The file is empty.", EXPORT),
    "huge": ("scores/a.musicxml", b"<" * 5_000_000, "file-size", "larger than 4 MB",
        "export only the bars"),
    "an editor's own format": ("scores/a.score", INSIDE, "score-file",
        'ends in ".score" cannot be used as a score', "as MusicXML (.musicxml or .mxl)"),
    "no suffix": ("scores/a", INSIDE, "score-file", "ends in .musicxml or .mxl.", "as MusicXML"),
    "another folder": ("exercises/a.musicxml", INSIDE, "score-file", 'folder "scores"',
        'write "score: scores/a.musicxml'),
    "no folder": ("a.musicxml", INSIDE, "score-file", 'folder "scores"',
        'write "score: scores/a.musicxml'),
    "out and back": ("scores/../scores/a.musicxml", INSIDE, "score-file", 'folder "scores"',
        'write "score: scores/a.musicxml'),
    "out": ("scores/../../x.musicxml", INSIDE, "score-file", 'folder "scores"', 'write "score:'),
    "a dot": ("./scores/a.musicxml", INSIDE, "score-file", 'folder "scores"', 'write "score:'),
    "the whole path": ("/etc/hosts", None, "score-file", 'folder "scores"', "scores/hosts"),
    "a path of another system": ("scores\\a.musicxml", None, "score-file", 'folder "scores"',
        'write "score:'),
    "a disk": ("C:/scores/a.musicxml", None, "score-file", 'folder "scores"', 'write "score:'),
    "an address": ("https://example.org/a.mxl", None, "score-file", 'folder "scores"', "write"),
    "an end of text": ("scores/a\0.mxl", None, "score-file", 'folder "scores"', 'write "score:'),
    "missing": ("scores/b.musicxml", None, "file-missing", "There is no file", "capital"),
    "a name without end": (f"scores/{'a' * 5000}.mxl", None, "file-missing", "There is no file",
        "capital"),
    "empty name": ("", None, "score-file", 'folder "scores"', 'write "score:'),
}  # fmt: skip


@pytest.mark.parametrize("case", FILES)
def test_file(case: str, problem: Callable[..., Problem]) -> None:
    """Told where the exercise names it."""
    name, data, code, message, hint = FILES[case]
    found = problem(name, data)
    assert found.place == Place("handbook/exercises/low-tide.md", 12, 8)
    assert found.code == code
    assert message in found.message
    assert hint in found.hint


def test_links_lead_nowhere_else(root: Path, problem: Callable[..., Problem]) -> None:
    (root / "a.musicxml").write_text(INSIDE)
    (root / "scores" / "out.musicxml").symlink_to(root / "a.musicxml")
    found = problem("scores/out.musicxml")
    assert (found.code, found.message) == (
        "score-file",
        '"scores/out.musicxml" is a link to a file outside the folder "scores".',
    )
    (root / "scores" / "round.musicxml").symlink_to("round.musicxml")
    assert problem("scores/round.musicxml").code == "file-missing"
    (root / "scores" / "folder").symlink_to(root)
    assert "outside the folder" in problem("scores/folder/a.musicxml").message


def test_what_is_no_file(root: Path, problem: Callable[..., Problem]) -> None:
    (root / "scores" / "a.musicxml").mkdir()
    assert problem("scores/a.musicxml").message == '"scores/a.musicxml" is not a file.'
    os.mkfifo(root / "scores" / "b.musicxml")  # reading it would wait for ever
    assert problem("scores/b.musicxml").message == '"scores/b.musicxml" is not a file.'


def test_file_that_may_not_be_read(
    root: Path, problem: Callable[..., Problem], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refused by the system; who runs the tests may be one who may read everything."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    (root / "scores" / "a.musicxml").write_text(INSIDE)
    monkeypatch.setattr(Path, "open", refuse)
    found = problem("scores/a.musicxml")
    assert (found.code, found.message) == (
        "file-missing",
        "The file cannot be opened (permission denied).",
    )


HARD = {
    "as many notes as there may be, in one voice": lambda: [
        ATTRIBUTES.replace("1</div", "6000</div") + NOTE.format("C", 1) * 19_999
    ],
    "as many notes in two voices of one rhythm": lambda: [
        ATTRIBUTES.replace("1</div", "3000</div")
        + NOTE.format("C", 1) * 9_000
        + "<backup><duration>9000</duration></backup>"
        + NOTE.format("E", 1).replace("</note>", "<voice>2</voice></note>") * 9_000
    ],
    "a slur that never ends at every note": lambda: [
        ATTRIBUTES.replace("1</div", "3000</div")
        + NOTE.format("C", 1).replace(
            "</note>", "<notations>" + '<slur type="start"/>' * 20 + "</notations></note>"
        )
        * 9_000
    ],
    "a voice for every note": lambda: [
        ATTRIBUTES
        + "".join(
            NOTE.format("C", 4).replace("</note>", f"<voice>{n}</voice></note>")
            + "<backup><duration>4</duration></backup>"
            for n in range(9_000)
        )
    ],
    "dynamics without end": lambda: [
        BAR
        + "".join(
            f"<direction><direction-type>{sign}</direction-type></direction>\n" * 9_000
            for sign in ("<dynamics><p/></dynamics>", '<wedge type="stop"/>')
        )
    ],
}  # fmt: skip


@pytest.mark.timeout(120)  # a second or two on an idle machine
@pytest.mark.parametrize("case", HARD)
def test_nothing_takes_long(case: str, read: Callable[..., Reading]) -> None:
    """Within all bounds, and made to cost as much as it can."""
    read(document(*HARD[case]()))


@pytest.mark.parametrize(
    "data",
    [
        document(BAR.replace("<fifths>0", f"<fifths>{'1' * 5000}")),
        document(BAR.replace("<octave>4", "<octave>9").replace("<duration>4", "<duration>9e9")),
        document(*[BAR] * 300),
        "<score-partwise",
    ],
    ids=["key", "octave", "bars", "cut off"],
)
def test_taking_in_a_bad_file_says_why(data: str) -> None:
    with pytest.raises(ScoreFileError) as raised:
        adopt(data.encode(), {})
    assert raised.value.message
    assert raised.value.hint
    assert raised.value.place("a.musicxml").line >= 1
