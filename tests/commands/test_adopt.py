"""Exercises of another handbook are taken over whole, or not at all."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import pipeline
from chorus_handbook.chorus.file_format import FORMAT

Run = Callable[..., tuple[int, str, str]]
DEMO = Path(__file__).parents[2] / "handbook"
WOMEN = """\
name: Ferrywomen
voices:
  soprano: {label: Soprano, clef: treble, comfortable: C4 to F5, limits: A3 to A5}
  mezzo: {label: Mezzo, clef: treble, comfortable: B3 to D5, limits: A3 to F5}
  alto: {label: Alto, clef: treble, comfortable: G3 to C5, limits: F3 to D5}
  low-alto: {label: Low alto, clef: treble, comfortable: F3 to A4, limits: E3 to C5}
"""
WORDS = """\
goals:
  flow: {label: Breath flow, about: Air that moves evenly.}   # ours
  harmony: {label: Harmony, about: Holding your own part.}
soundings:
  lip-trill: {label: Lip trill, lowest_impact: 3}
  sung-words: {label: Sung words, lowest_impact: 3}
formations:
  ring: {label: All around, diagram: circle}
cautions:
  neck: {text: Move it gently.}
"""
PICTURE = b"\x89PNG\r\n\x1a\n"


@pytest.fixture(scope="module")
def cached(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the tests here need not make anew each time: the records of the demo's exercises."""
    return tmp_path_factory.mktemp("cached")


@pytest.fixture
def women(tmp_path: Path, cached: Path) -> Path:
    root = tmp_path / "women" / "handbook"
    (root / "exercises").mkdir(parents=True)
    (root.parent / ".cache").symlink_to(cached)
    (root / "chorus.yml").write_text(WOMEN, encoding="utf-8")
    (root / "vocabulary.yml").write_text(WORDS, encoding="utf-8")
    (root / "voice-care.md").write_text("# Voice care\n\nStop if it hurts.\n", encoding="utf-8")
    return root.parent


@pytest.fixture
def theirs(tmp_path: Path) -> Path:
    """Five exercises of the demo, of which one has a picture and links."""
    root = tmp_path / "theirs" / "handbook"
    (root / "exercises").mkdir(parents=True)
    (root / "scores").mkdir()
    for name in ("chorus.yml", "vocabulary.yml", "voice-care.md"):
        shutil.copy(DEMO / name, root)
    for slug in ("slipway", "quick-ferry", "through-the-lock", "cold-motor", "herring-fleet"):
        shutil.copy(DEMO / "exercises" / f"{slug}.md", root / "exercises")
    shutil.copy(DEMO / "scores" / "through-the-lock.musicxml", root / "scores")
    (root / "exercises" / "hill.png").write_bytes(PICTURE)
    with (root / "exercises" / "slipway.md").open("a", encoding="utf-8") as file:
        file.write(
            "\nSee [the lock](through-the-lock.md#say), [the motor](cold-motor.md), [all]"
            "(../goals/breath-flow.md), [care](../voice-care.md) and [the web](https://example.org)"
            ".\n\n![A hill](hill.png)\n"
        )
    return root.parent


def texts(project: Path) -> dict[str, bytes]:
    files = sorted(path for path in (project / "handbook").rglob("*") if path.is_file())
    return {path.relative_to(project / "handbook").as_posix(): path.read_bytes() for path in files}


def adopt(handbook: Run, women: Path, theirs: Path, *words: str) -> tuple[int, str, str]:
    return handbook("--project", women, "adopt", theirs, *words)


ALL = ("slipway", "quick-ferry", "through-the-lock", "--in-order", "--add-words")


def test_three_notations_at_once(women: Path, theirs: Path, handbook: Run) -> None:
    before = texts(theirs)
    vocabulary = women / "handbook" / "vocabulary.yml"
    vocabulary.write_bytes(WORDS.replace("\n", "\r\n").encode())
    code, out, err = adopt(handbook, women, theirs, *ALL, "--licence", "CC BY 4.0")
    assert code == 0, err
    assert vocabulary.read_bytes().count(b"\n") == vocabulary.read_bytes().count(b"\r\n")
    book = pipeline.read(women / "handbook")
    assert not [p for p in book.problems if p.place.path.startswith("handbook/exercises")], err
    assert not book.broken and texts(theirs) == before
    assert [Path(line).name for line in out.splitlines()] == [
        *("slipway.md", "hill.png", "quick-ferry.md", "through-the-lock.md"),
        "through-the-lock.musicxml",
    ]
    for exercise in book.exercises.values():
        front, ladder = exercise.front, exercise.ladder
        assert (front.origin, front.licence) == ("Tidewater Chorus, Saltmarsh Quay", "CC BY 4.0")
        assert ladder is not None and not any(rung.out for rung in ladder.rungs)
        assert len(ladder.rungs[0].voices) == 4
    slipway = (women / "handbook" / "exercises" / "slipway.md").read_text("utf-8")
    assert "[the lock](through-the-lock.md#say), the motor, [all](../goals/flow.md)" in slipway
    assert "[care](../voice-care.md) and [the web](https://example.org)" in slipway
    assert "goals: [flow, resonance, agility]" in slipway and "impact: 3\n" in slipway
    assert "cautions: [light-headed]" in slipway  # their lip trill brings it, ours does not
    assert "related" not in slipway and "leads_to" not in slipway
    assert "the motor" in err and "Impact raised to 3" in err
    assert "mezzo sings what alto sang" in err and "read it through" in err
    words = vocabulary.read_text("utf-8")
    assert words.startswith(WORDS.partition("\n  harmony")[0]) and "resonance:" in words


def test_nobody_at_the_keyboard_is_told_all_that_is_missing(
    women: Path, theirs: Path, handbook: Run
) -> None:
    before = texts(women)
    code, _, err = adopt(handbook, women, theirs, "slipway", "through-the-lock")
    assert code == 2 and texts(women) == before and len(err.splitlines()) == 1
    assert err.index("--in-order") < err.index("--voice")
    for option in (
        *("--voice tenor=mezzo", "--voice bass=low-alto", "--in-order", "--word resonance=OURS"),
        "--add-words",
    ):
        assert option in err
    assert "flow=" not in err  # known by its label


def test_somebody_at_the_keyboard_is_asked(
    women: Path, theirs: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    questions: list[str] = []
    answers = iter(["maybe", "n", "descant", "low-alto", "alto", "", "-", "+", "harmony"])

    def answer(question: str) -> str:
        questions.append(question)
        return next(answers, "+")

    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", answer)
    code, _, err = adopt(handbook, women, theirs, "through-the-lock", "--voice", "alto=mezzo")
    assert code == 0, err
    assert "score order" in questions[0] and "y or n" in err and "type + to add it" in err
    assert 'no voice "descant"' in err and "[low-alto]" not in questions[2]
    front = pipeline.read(women / "handbook").exercises["through-the-lock"].front
    assert front.goals[0] == "harmony"


def test_in_the_same_chorus_it_stays_as_it_is(women: Path, theirs: Path, handbook: Run) -> None:
    for name in ("chorus.yml", "vocabulary.yml"):
        shutil.copy(DEMO / name, women / "handbook")
    names = ("cold-motor", "slipway", "through-the-lock", "quick-ferry", "herring-fleet")
    code, _, err = adopt(handbook, women, theirs, *names, "--licence", "CC0")
    assert code == 0, err
    for name in names:
        old = (theirs / "handbook" / "exercises" / f"{name}.md").read_text("utf-8").splitlines()
        new = (women / "handbook" / "exercises" / f"{name}.md").read_text("utf-8").splitlines()
        gone = [line.partition(":")[0] for line in old if line not in new]
        assert set(gone) <= {"related", "leads_to"}, name
        come = [line for line in new if line not in old]
        assert [x for x in come if not x.startswith(("related", "leads_to"))] == [
            "origin: Tidewater Chorus, Saltmarsh Quay",
            "licence: CC0",
        ]
    score = "scores/through-the-lock.musicxml"
    assert texts(women)[score] == texts(theirs)[score]


def test_origin_and_licence_are_handed_on(women: Path, theirs: Path, handbook: Run) -> None:
    path = theirs / "handbook" / "chorus.yml"
    path.write_text(path.read_text("utf-8") + "licence: CC BY-SA 4.0\n", encoding="utf-8")
    path = theirs / "handbook" / "exercises" / "cold-motor.md"
    path.write_text(
        path.read_text("utf-8").replace("impact:", "origin: Elsewhere\nimpact:"), "utf-8"
    )
    code, _, err = adopt(handbook, women, theirs, "slipway", "cold-motor", "--add-words")
    assert code == 0, err
    found = pipeline.read(women / "handbook").exercises
    whose = {slug: (one.front.origin, one.front.licence) for slug, one in found.items()}
    assert whose == {
        "slipway": ("Tidewater Chorus, Saltmarsh Quay", "CC BY-SA 4.0"),
        "cold-motor": ("Elsewhere", None),
    }
    assert "Elsewhere has not said" in err


def test_a_name_that_is_taken(women: Path, theirs: Path, handbook: Run) -> None:
    assert adopt(handbook, women, theirs, "slipway", "--add-words")[0] == 0
    before = texts(women)
    code, _, err = adopt(handbook, women, theirs, "slipway", "cold-motor", "--add-words")
    assert code == 2 and "--name slipway=NAME" in err and texts(women) == before
    code, _, err = adopt(handbook, women, theirs, "slipway", "--name", "slipway=ramp")
    assert code == 1 and "title-twice" in err and texts(women) == before
    assert "give it another: --title slipway=TITLE" in err
    renamed = ("--name", "slipway=ramp", "--title", "slipway=Ramp", "--add-words")
    code, _, err = adopt(handbook, women, theirs, "slipway", "cold-motor", *renamed)
    assert code == 0 and "plain-twice" in err  # advice, since the first is still there
    motor = (women / "handbook" / "exercises" / "cold-motor.md").read_text("utf-8")
    assert "slipway" not in motor and "ramp" in motor


def as_newer(root: Path) -> None:
    path = root / "chorus.yml"
    path.write_text(path.read_text("utf-8").replace("format: 2", f"format: {FORMAT + 1}"), "utf-8")


def as_older(root: Path) -> None:
    path = root / "chorus.yml"
    path.write_text(path.read_text("utf-8").replace("format: 2\n", ""), "utf-8")
    path = root / "exercises" / "slipway.md"
    path.write_text(path.read_text("utf-8").replace("\ncue:", "\nreminder:"), "utf-8")


def as_no_handbook(root: Path) -> None:
    shutil.rmtree(root)


def with_an_error(root: Path) -> None:
    path = root / "exercises" / "slipway.md"
    path.write_text(path.read_text("utf-8").replace("impact: 2", "impact: 9"), "utf-8")


def without_its_score(root: Path) -> None:
    (root / "scores" / "through-the-lock.musicxml").unlink()


def without_voices(root: Path) -> None:
    (root / "chorus.yml").write_text("name: A\n", "utf-8")


BAD: dict[str, tuple[Callable[[Path], None] | None, tuple[str, ...], str]] = {
    "a newer format": (as_newer, ALL, "newer version of the program"),
    "an older format": (as_older, ALL, "run `handbook renew` in a copy"),
    "no handbook": (as_no_handbook, ALL, "contains no handbook; give the folder of the other"),
    "an exercise with errors": (with_an_error, ALL, "have errors"),
    "a score that is not there": (without_its_score, ALL, "file-missing"),
    "a chorus without voices": (
        without_voices,
        ALL,
        "fix the files of the other handbook named above first",
    ),
    "no such exercise": (None, ("slipwa", "--add-words"), 'Did you mean "slipway"?'),
    "no such voice there": (None, (*ALL, "--voice", "tenors=alto"), 'Did you mean "tenor"?'),
    "no such voice here": (
        None,
        (*ALL, "--voice", "tenor=tenor"),
        'this chorus has no voice "tenor"',
    ),
    "no such word": (None, (*ALL, "--word", "resonance=ring"), 'no "ring" in our vocabulary'),
    "a manner left out": (None, (*ALL, "--word", "lip-trill="), "cannot be left out"),
    "not a pair": (None, (*ALL, "--voice", "tenor"), "with = between"),
    "not a name": (None, (*ALL, "--name", "slipway=The Ramp"), "small letters"),
    "two of one name": (None, (*ALL, "--name", "slipway=quick-ferry"), "the same name"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_taken_over_changes_nothing(
    women: Path, theirs: Path, handbook: Run, name: str
) -> None:
    damage, words, said = BAD[name]
    if damage:
        damage(theirs / "handbook")
    before = texts(women)
    code, out, err = adopt(handbook, women, theirs, *words)
    assert code in (1, 2) and said in err and out == "", err
    assert texts(women) == before and "Traceback" not in err


def test_a_picture_is_no_way_to_files_elsewhere(
    women: Path, theirs: Path, handbook: Run, tmp_path: Path
) -> None:
    (tmp_path / "private.png").write_bytes(PICTURE)
    picture = theirs / "handbook" / "exercises" / "hill.png"
    picture.unlink()
    picture.symlink_to(tmp_path / "private.png")
    code, out, _ = adopt(handbook, women, theirs, "slipway", "--add-words")
    assert code == 0 and "hill.png" not in out
    assert "exercises/hill.png" not in texts(women)


def test_nothing_is_written_through_a_link_before_it_is_tried(
    women: Path, theirs: Path, handbook: Run
) -> None:
    """In the copy, a link would still lead to the folder elsewhere."""
    elsewhere = women / "elsewhere"
    elsewhere.mkdir()
    (women / "handbook" / "scores").symlink_to(elsewhere)
    options = ("--in-order", "--add-words")
    code, _, err = handbook("--project", women, "adopt", theirs, "through-the-lock", *options)
    assert code == 1 and "handbook/scores/through-the-lock.musicxml" in err and "link" in err
    assert not [*elsewhere.iterdir()]
    os.mkfifo(women / "handbook" / "pipe.md")
    code, _, err = handbook("--project", women, "adopt", theirs, "slipway", *options)
    assert code == 1 and "handbook/pipe.md cannot be read" in err


def test_its_own_handbook_is_refused(women: Path, handbook: Run) -> None:
    code, _, err = adopt(handbook, women, women, "slipway")
    assert code == 2 and "is this handbook" in err


def test_more_parts_than_voices(women: Path, theirs: Path, handbook: Run) -> None:
    path = women / "handbook" / "chorus.yml"
    path.write_text("".join(WOMEN.splitlines(keepends=True)[:4]), encoding="utf-8")
    before = texts(women)
    for words in (ALL, ("through-the-lock", "--add-words")):
        code, _, err = adopt(handbook, women, theirs, *words)
        assert code == 2 and texts(women) == before
        assert "4 voices" in err or ("--voice bass=OURS" in err and "--in-order" not in err)


def test_a_full_disk_half_way(
    women: Path, theirs: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The files are written and taken back when vocabulary.yml does not fit any more."""

    def full(*_: object, **__: object) -> object:
        raise OSError(errno.ENOSPC, "full")

    before = texts(women)
    monkeypatch.setattr(os, "replace", full)
    monkeypatch.setattr(Path, "chmod", full)
    code, _, err = adopt(handbook, women, theirs, *ALL)
    assert code == 1 and "the disk is full" in err and texts(women) == before
