"""`handbook tracks`, used rightly and wrongly."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from mutagen.mp3 import MP3

Run = Callable[..., tuple[int, str, str]]


def routine(project: Path, *slugs: str, name: str = "evening") -> Path:
    """A routine of these exercises, in one key each."""
    path = project / "handbook" / "routines" / f"{name}.md"
    path.parent.mkdir(exist_ok=True)
    items = "".join(f"  - exercise: {slug}\n    keys: C4\n" for slug in slugs)
    path.write_text(f"---\ntitle: Evening\nitems:\n{items}---\n", "utf-8")
    return path


def without_notes(project: Path) -> Path:
    """Takes the notation out of the project's exercise."""
    path = project / "handbook" / "exercises" / "low-tide.md"
    text = path.read_text("utf-8")
    bare = text[: text.index("```degrees")] + text[text.index("## How") :]
    lines = [line for line in bare.splitlines() if not line.startswith(("tempo:", "keys:"))]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def test_tracks_of_an_exercise(project: Path, handbook: Run) -> None:
    code, _, err = handbook("--project", project, "tracks", "low-tide", "--voice", "alto")
    assert code == 0, err
    folder = project / "tracks" / "low-tide"
    assert sorted(path.name for path in folder.iterdir()) == ["low-tide-alto.mp3", "low-tide.mid"]
    assert (folder / "low-tide.mid").read_bytes()[:4] == b"MThd"
    assert (folder / "low-tide-alto.mp3").read_bytes()[:3] == b"ID3"


def test_a_voice_that_does_not_sing_in_what_was_named(project: Path, handbook: Run) -> None:
    path = project / "handbook" / "exercises" / "low-tide.md"
    text = path.read_text("utf-8").replace("all: 1 2 3 2", "soprano: 1 2 3 2")
    path.write_text(text.replace("sounding: hum", "sounding: hum\nvoices: [soprano]"), "utf-8")
    message = "low-tide: no track was made, because alto does not sing in it."
    code, _, err = handbook("--project", project, "tracks", "low-tide", "--voice", "alto")
    assert code == 1 and message in err and "lie in" not in err
    both = ["--voice", "alto", "--voice", "soprano"]
    code, _, err = handbook("--project", project, "tracks", "low-tide", *both)
    assert code == 1 and message in err and "are in" in err  # one of the two is there
    code, _, err = handbook("--project", project, "tracks", *both)
    assert code == 0 and message in err  # nobody asked for the alto's in this one
    code, _, err = handbook("--project", project, "tracks", "--voice", "alto")
    assert code == 1 and message in err  # nothing at all was made


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["low-tid"], 'Did you mean "low-tide"?'),
        (["low-tide", "evning"], 'no exercise or routine "evning". Did you mean "evening"?'),
        (["low-tide", "--voice", "sopran"], 'Did you mean "soprano"?'),
        (["low-tide", "--tempo", "20"], "from 50 to 150"),
        (["low-tide", "--to", "handbook"], "choose another folder"),
    ],
)
def test_wrong_words(
    project: Path,
    handbook: Run,
    monkeypatch: pytest.MonkeyPatch,
    words: list[str],
    message: str,
) -> None:
    routine(project, "low-tide")
    monkeypatch.chdir(project)
    code, _, err = handbook("--project", project, "tracks", *words)
    assert code == 2 and message in err
    assert not (project / "tracks").exists()


def test_an_exercise_without_notes(project: Path, handbook: Run) -> None:
    without_notes(project)
    code, _, err = handbook("--project", project, "tracks", "low-tide")
    assert code == 1 and "nothing to hear" in err


def test_a_routine_is_one_file_with_chapters(project: Path, handbook: Run) -> None:
    """Its length, read by mutagen, is that of its chapters: five seconds, in which four words are
    said, the chord and the count of four beats each, and two bars of four at 84 a minute."""
    path = routine(project, "low-tide", "low-tide")
    code, _, err = handbook("--project", project, "tracks", path)
    assert code == 0 and "evening/evening.mp3" in err, err
    (file,) = (project / "tracks").rglob("*.*")
    read = MP3(file)
    names = [chapter.sub_frames["TIT2"].text[0] for chapter in read.tags.getall("CHAP")]
    assert names == ["Low tide", "Low tide"] and read.tags["TIT2"].text == ["Evening"]
    assert read.info.length == pytest.approx(2 * (5 + 16 * 60 / 84), abs=0.25)
    words = ("evening", "--voice", "alto", "--tempo", "150", "--just")
    assert handbook("--project", project, "tracks", *words)[0] == 0
    assert (project / "tracks/evening/evening-alto-150-percent-just.mp3").exists()


def test_a_routine_without_any_notes(project: Path, handbook: Run) -> None:
    path = routine(project, "low-tide")
    path.write_text(path.read_text("utf-8").replace("    keys: C4\n", ""), "utf-8")
    without_notes(project)
    code, _, err = handbook("--project", project, "tracks", "evening")
    assert (
        code == 1 and "evening: no track was made, because none of its exercises has notes" in err
    )
    assert not (project / "tracks").exists()


def test_a_routine_of_an_exercise_that_is_missing_or_broken(project: Path, handbook: Run) -> None:
    routine(project, "low-tide", "high-tide")
    code, out, err = handbook("--project", project, "tracks", "evening")
    assert code == 1 and "evening.md:6:15: error[exercise-unknown] There is no exercise" in out
    assert "No track was made" in err
    routine(project, "low-tide")
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    exercise.write_text(exercise.read_text("utf-8").replace("impact: 2", "impact: 9"), "utf-8")
    code, out, _ = handbook("--project", project, "tracks", "evening")
    assert code == 1 and "low-tide.md:5:9: error" in out


def test_one_name_for_an_exercise_and_a_routine(project: Path, handbook: Run) -> None:
    path = routine(project, "low-tide", name="low-tide")
    code, _, err = handbook("--project", project, "tracks", "low-tide")
    assert code == 2 and "write exercises/low-tide.md or routines/low-tide.md" in err
    assert handbook("--project", project, "tracks", path)[0] == 0
    assert [file.name for file in (project / "tracks").rglob("*.*")] == ["low-tide.mp3"]


def test_a_full_disk_leaves_nothing_and_is_one_line(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> object:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    routine(project, "low-tide")
    monkeypatch.setattr("chorus_handbook.commands.files.os.fdopen", full)
    code, _, err = handbook("--project", project, "tracks", "evening")
    assert code == 1 and err.splitlines()[-1].endswith("evening.mp3: the disk is full")
    assert not [path for path in (project / "tracks").rglob("*") if path.is_file()]


def test_a_broken_handbook(project: Path, handbook: Run) -> None:
    path = project / "handbook" / "exercises" / "low-tide.md"
    path.write_text(path.read_text("utf-8").replace("impact: 2", "impact: 9"), "utf-8")
    code, out, err = handbook("--project", project, "tracks")
    assert code == 1 and "error[" in out and "No track was made" in err


def test_an_error_in_another_file_is_not_in_the_way(project: Path, handbook: Run) -> None:
    path = project / "handbook" / "exercises" / "low-tide.md"
    wrong = path.read_text("utf-8").replace("impact: 2", "impact: 9")
    (path.parent / "other.md").write_text(wrong.replace("Low tide", "Other"), "utf-8")
    words = ("--project", project, "tracks", "low-tide", "--voice", "alto")
    code, out, _ = handbook(*words)
    assert (code, out) == (0, "") and len(list((project / "tracks").rglob("*.mp3"))) == 1
    code, out, _ = handbook("--project", project, "tracks", "other")
    assert code == 1 and "other.md:5:9: error" in out
    assert handbook("--project", project, "tracks")[0] == 1  # everything was asked for
    path.write_text(path.read_text("utf-8").replace("tempo: 84", "tempo: no"), "utf-8")
    code, out, _ = handbook(*words)
    assert code == 1 and "low-tide.md" in out and "other.md" not in out


def test_a_folder_that_cannot_be(project: Path, handbook: Run) -> None:
    (project / "tracks").write_text("a file\n", "utf-8")
    code, _, err = handbook("--project", project, "tracks", "low-tide", "--voice", "alto")
    assert code == 1 and "tracks" in err and "Traceback" not in err
