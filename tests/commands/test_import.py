"""`handbook import`: from a file of somebody else's to an exercise that passes `check`."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from chorus_handbook.pipeline import check

Run = Callable[..., tuple[int, str, str]]

#: What a person would say of the exercise.
ANSWERS = (
    *("--summary", "Down and up again.", "--goal", "resonance"),
    *("--sounding", "hum", "--impact", "2", "--minutes", "3"),
)
ABC = """X:1
T:Down the steps
Q:1/4=96
M:4/4
L:1/4
K:Dm
V:soprano
A G F E | D4 |
w: down and down and down
V:bass octave=-1
D2 A,2 | D4 |
"""


def note(step: str, octave: int, duration: int = 1, alter: int = 0) -> str:
    alteration = f"<alter>{alter}</alter>" if alter else ""
    return (
        f"<note><pitch><step>{step}</step>{alteration}<octave>{octave}</octave></pitch>"
        f"<duration>{duration}</duration></note>"
    )


def score(part: str, music: str, head: str = "", key: str = "<fifths>1</fifths>") -> str:
    """A score of one part and one bar in 4/4, as a notation editor writes it."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
        '"http://www.musicxml.org/dtds/partwise.dtd">\n'
        f'<score-partwise version="4.0">{head}<part-list><score-part id="P1">'
        f"<part-name>{part}</part-name></score-part></part-list>\n"
        '<part id="P1"><measure number="1"><attributes><divisions>1</divisions>'
        f"<key>{key}</key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
        f"{music}</measure></part></score-partwise>"
    )


UP = note("G", 4) + note("A", 4) + note("B", 4) + note("G", 4)
TITLE = "<movement-title>Up the steps</movement-title>"


def front(path: Path) -> dict[str, object]:
    """The front matter, read by a plain YAML library."""
    text = path.read_text(encoding="utf-8")
    fields: dict[str, object] = yaml.safe_load(text.split("---\n")[1])
    return fields


def written(project: Path, text: str, name: str = "score.musicxml") -> Path:
    path = project / name
    path.write_text(text, encoding="utf-8")
    return path


def exercise(project: Path, slug: str) -> Path:
    return project / "handbook" / "exercises" / f"{slug}.md"


def only_brackets_are_left(project: Path) -> bool:
    """Whether all is well but for the texts that only a person can write."""
    return {problem.code for problem in check(project / "handbook")} == {"placeholder"}


def test_a_score_becomes_an_exercise_that_passes_check(
    project: Path, handbook: Run, fill_in: Callable[[], None]
) -> None:
    file = written(project, score("Soprano", UP, TITLE, "<fifths>1</fifths><mode>major</mode>"))
    code, out, err = handbook("--project", project, "import", file, *ANSWERS)
    assert code == 0
    assert out.splitlines() == [
        str(exercise(project, "up-the-steps")),
        str(project / "handbook" / "scores" / "up-the-steps.musicxml"),
    ]
    assert "[brackets]" in err and "open fields" not in err
    assert front(exercise(project, "up-the-steps")) == {
        "title": "Up the steps",
        "summary": "Down and up again.",
        "goals": ["resonance"],
        "impact": 2,
        "sounding": "hum",
        "minutes": 3,
        "tempo": 84,
        "keys": "G4",
        "voices": ["soprano"],
        "score": "scores/up-the-steps.musicxml",
    }
    fill_in()
    assert handbook("--project", project, "check")[0] == 0
    measured = handbook("--project", project, "measure", "up-the-steps")[1]
    assert "G4      B4       M3" in measured


def test_abc_becomes_an_exercise_that_passes_check(
    project: Path, handbook: Run, fill_in: Callable[[], None]
) -> None:
    file = written(project, ABC, "tune.abc")
    assert handbook("--project", project, "import", file, *ANSWERS)[0] == 0
    path = exercise(project, "down-the-steps")
    fields = front(path)
    assert (fields["tempo"], fields["keys"]) == (96, "D4")
    assert f"```abc\n{ABC}```\n" in path.read_text(encoding="utf-8")
    fill_in()
    assert handbook("--project", project, "check")[0] == 0


def test_what_only_a_person_can_say_stays_open_until_it_is_said(
    project: Path, handbook: Run, fill_in: Callable[[], None]
) -> None:
    file = written(project, ABC, "tune.abc")
    code, _, err = handbook("--project", project, "import", file)
    assert code == 0
    assert "(summary, goals, impact, sounding, minutes)" in err
    found = handbook("--project", project, "check")[1].splitlines()[::2]
    notice = [line.split(":")[1] for line in found]
    # The open fields, each on its line, and the first text in brackets.
    assert notice == ["3", "4", "5", "6", "7", "12"]
    path = exercise(project, "down-the-steps")
    text = path.read_text(encoding="utf-8")
    for field, value in [
        ("summary:", "summary: Steps."),
        ("goals: []", "goals: [resonance]"),
        ("impact:", "impact: 2"),
        ("sounding:", "sounding: hum"),
        ("minutes:", "minutes: 2"),
    ]:
        assert f"\n{field}  #" in text
        text = text.replace(f"\n{field}  #", f"\n{value}  #")
    path.write_text(text, encoding="utf-8")
    fill_in()
    assert handbook("--project", project, "check") == (0, "", "No problems found.\n")


def test_a_packed_score_is_unpacked(
    project: Path, handbook: Run, fill_in: Callable[[], None]
) -> None:
    file = project / "score.mxl"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="music.xml"/></rootfiles></container>',
        )
        archive.writestr("music.xml", score("Soprano", UP, TITLE))
    assert handbook("--project", project, "import", file, *ANSWERS)[0] == 0
    copied = project / "handbook" / "scores" / "up-the-steps.musicxml"
    assert copied.read_bytes().startswith(b"<?xml")
    fill_in()
    assert handbook("--project", project, "check")[0] == 0


def test_parts_are_named_after_those_who_sing_them(project: Path, handbook: Run) -> None:
    file = written(project, score("Women", UP, TITLE))
    code, out, err = handbook("--project", project, "import", file, *ANSWERS)
    assert (code, out) == (1, "")
    assert 'called "Women"' in err and "--part" in err and "nothing was written" in err
    assert not exercise(project, "up-the-steps").exists()
    named = ("--part", "women=soprano")
    assert handbook("--project", project, "import", file, *named, *ANSWERS)[0] == 0
    assert front(exercise(project, "up-the-steps"))["voices"] == ["soprano"]
    other = ("--part", "Men=bass", "--title", "Another")
    code, _, err = handbook("--project", project, "import", file, *other)
    assert code == 1 and '"Women"' in err


MINOR = note("E", 4) + note("G", 4) + note("D", 4, alter=1) + note("E", 4)
MAJOR = note("G", 4) + note("B", 4) + note("D", 5) + note("G", 4)


@pytest.mark.parametrize(
    ("music", "tonic", "mode"), [(MINOR, "E4", "minor"), (MAJOR, "G4", "major")]
)
def test_a_mode_that_the_file_does_not_name_is_heard(
    project: Path, handbook: Run, fill_in: Callable[[], None], music: str, tonic: str, mode: str
) -> None:
    """One sharp is G major or E minor; the leading note and the chord say which. Notes are weighed
    as in Krumhansl 1990, by music21."""
    file = written(project, score("Soprano", music, TITLE))
    _, _, err = handbook("--project", project, "import", file, *ANSWERS)
    assert f"taken to be {tonic[0]} {mode}" in err
    assert front(exercise(project, "up-the-steps"))["keys"] == tonic
    copied = project / "handbook" / "scores" / "up-the-steps.musicxml"
    assert f"<mode>{mode}</mode>" in copied.read_text(encoding="utf-8")
    fill_in()
    assert handbook("--project", project, "check")[0] == 0


def test_a_tempo_is_counted_in_beats(project: Path, handbook: Run) -> None:
    tempo = (
        "<direction><direction-type><metronome><beat-unit>half</beat-unit>"
        "<per-minute>40</per-minute></metronome></direction-type></direction>"
    )
    file = written(project, score("Soprano", tempo + UP, TITLE))
    handbook("--project", project, "import", file, *ANSWERS)
    assert front(exercise(project, "up-the-steps"))["tempo"] == 80
    jig = written(project, "X:1\nT:Jig\nM:6/8\nL:1/8\nQ:1/8=180\nK:C\nCDE FED |\n", "jig.abc")
    handbook("--project", project, "import", jig, *ANSWERS)
    assert front(exercise(project, "jig"))["tempo"] == 60


def test_nothing_is_overwritten(project: Path, handbook: Run) -> None:
    file = written(project, score("Soprano", UP, TITLE))
    handbook("--project", project, "import", file, *ANSWERS)
    before = exercise(project, "up-the-steps").read_bytes()
    code, _, err = handbook("--project", project, "import", file)
    assert code == 2 and "--title" in err
    assert exercise(project, "up-the-steps").read_bytes() == before
    exercise(project, "up-the-steps").unlink()  # the score alone is in the way, too
    assert handbook("--project", project, "import", file)[0] == 2
    assert not exercise(project, "up-the-steps").exists()


@pytest.mark.parametrize(
    ("name", "content", "code", "notice"),
    [
        ("block.abc", ABC + "%%begintext\nV:soprano\nA4 |\n", 1, "voice-length"),
        ("score.pdf", "%PDF", 2, "MusicXML"),
        ("gone.musicxml", None, 1, "file-missing"),
        ("page.xml", "<html/>", 1, "score-file"),
        ("cut.musicxml", score("Soprano", UP)[:300], 1, "score-file"),
        ("fence.abc", ABC + "```\n", 1, "cannot be part"),
        ("keyless.abc", "X:1\nT:a\nCDEF|\n", 1, "no tonic"),
        ("voices.abc", ABC.replace("V:bass", "V:bas"), 1, 'Did you mean "bass"?'),
        ("empty.mxl", "PK", 1, "damaged"),
    ],
)
def test_what_cannot_be_read_leaves_nothing_behind(
    project: Path, handbook: Run, name: str, content: str | None, code: int, notice: str
) -> None:
    if content is not None:
        written(project, content, name)
    before = sorted((project / "handbook").rglob("*"))
    found, out, err = handbook("--project", project, "import", project / name, *ANSWERS)
    assert (found, out) == (code, "")
    assert notice in err
    assert sorted((project / "handbook").rglob("*")) == before


def test_every_verse_is_heard(project: Path, handbook: Run) -> None:
    """As many passes as there are verses; those that a repeat sings need none."""

    def verses(*words: str) -> str:
        lyrics = "".join(
            f'<lyric number="{n}"><text>{word}</text></lyric>' for n, word in enumerate(words, 1)
        )
        return UP.replace("</note>", f"{lyrics}</note>", 1)

    file = written(project, score("Soprano", verses("one", "two", "three"), TITLE))
    assert handbook("--project", project, "import", file, *ANSWERS)[0] == 0
    assert front(exercise(project, "up-the-steps"))["passes"] == 3
    repeated = verses("one", "two", "three", "four") + (
        '<barline location="right"><repeat direction="backward"/></barline>'
    )
    file = written(project, score("Soprano", repeated, TITLE))
    more = ("--title", "Again")
    assert handbook("--project", project, "import", file, *more, *ANSWERS)[0] == 0
    assert front(exercise(project, "again"))["passes"] == 2
    assert only_brackets_are_left(project)


def test_voices_without_notes_are_not_listed(project: Path, handbook: Run) -> None:
    both = score("Soprano", UP, TITLE).replace(
        "</part-list>", '<score-part id="P2"><part-name>Bass</part-name></score-part></part-list>'
    )
    rest = '<note><rest measure="yes"/><duration>4</duration></note>'
    silent = both.replace("</score-partwise>", "") + both[both.index('<part id="P1">') :].replace(
        UP, rest
    ).replace('"P1"', '"P2"')
    file = written(project, silent)
    assert handbook("--project", project, "import", file, *ANSWERS)[0] == 0
    assert front(exercise(project, "up-the-steps"))["voices"] == ["soprano"]
    assert only_brackets_are_left(project)


SECOND = """X:2
T:Up again
M:4/4
L:1/4
K:C
V:soprano
C D E F | G4 |
"""
PRINTER = """%%postscript /mine { pop } def
%%begintext
Printed above the tune | nobody sings it
%%endtext
%%scale 0.7
"""


def test_one_tune_of_several_is_taken_and_said(project: Path, handbook: Run) -> None:
    """ABC 2.1, section 2.2: tunes are parted by empty lines, with free text between them."""
    between = "\nFree text between tunes.\n\n" + PRINTER
    file = written(project, f"{PRINTER}L:1/8\n\n{ABC}{between}{SECOND}\n{between}", "two.abc")
    code, _, err = handbook("--project", project, "import", file, *ANSWERS)
    assert code == 0
    assert "There are 2 tunes in the file; the first is taken." in err and "(2)" in err
    text = exercise(project, "down-the-steps").read_text(encoding="utf-8")
    assert f"```abc\n{ABC}```\n" in text
    code, _, err = handbook("--project", project, "import", file, "--tune", "2", *ANSWERS)
    assert code == 0 and "tunes in the file" not in err
    assert f"```abc\n{SECOND}```\n" in exercise(project, "up-again").read_text(encoding="utf-8")
    code, _, err = handbook("--project", project, "import", file, "--tune", "7")
    assert code == 2 and "the numbers are 1, 2" in err
    assert only_brackets_are_left(project)


def test_fields_above_the_tunes_hold_for_each(project: Path, handbook: Run) -> None:
    tune = "X:1\nT:Low\nK:C\nV:soprano\nC2 | D2 |\n"
    file = written(project, f"M:2/4\nL:1/4\n\n{tune}", "head.abc")
    assert handbook("--project", project, "import", file, *ANSWERS)[0] == 0
    text = exercise(project, "low").read_text(encoding="utf-8")
    assert "```abc\nX:1\nM:2/4\nL:1/4\nT:Low\n" in text


def test_problems_are_told_by_the_lines_of_the_file(project: Path, handbook: Run) -> None:
    """Directives that are left out, and fields from above the first tune, move none of them."""
    text = f"L:1/4\n{PRINTER}\nX:1\nT:Low\n%%scale 0.7\nM:2/4\nK:C\nV:soprano\nC2 | D |\n"
    number = text.split("\n").index("C2 | D |") + 1
    _, _, err = handbook("--project", project, "import", written(project, text, "line.abc"))
    assert f"line.abc:{number}:6: error[bar-length]" in err


def test_music_behind_an_empty_line_is_not_lost_without_a_word(
    project: Path, handbook: Run
) -> None:
    file = written(project, ABC + "\nV:soprano\nA4 |\n" + "\n" + SECOND, "gap.abc")
    code, _, err = handbook("--project", project, "import", file, *ANSWERS)
    assert code == 1
    assert "gap.abc:13:1" in err and "There is an empty line above this line" in err


@pytest.mark.parametrize(
    "flags",
    [
        ("--tune", "2"),
        ("--part", "Women"),
        ("--part", "=alto"),
        ("--impact", "9"),
        ("--goal", "blnd"),
        ("--sounding", "humm"),
        ("--title", "!!!"),
    ],
)
def test_wrong_flags_are_wrong_usage(project: Path, handbook: Run, flags: tuple[str, ...]) -> None:
    file = written(project, score("Soprano", UP, TITLE))
    assert handbook("--project", project, "import", file, *flags)[0] == 2
