"""`handbook tracks`, used rightly and wrongly."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]


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
    message = "low-tide: alto does not sing in it; no track."
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
    monkeypatch.chdir(project)
    code, _, err = handbook("--project", project, "tracks", *words)
    assert code == 2 and message in err
    assert not (project / "tracks").exists()


def test_an_exercise_without_notes(project: Path, handbook: Run) -> None:
    path = project / "handbook" / "exercises" / "low-tide.md"
    text = path.read_text("utf-8")
    start = text.index("```degrees")
    end = text.index("```", start + 3) + 3
    bare = text[:start] + text[end:]
    lines = [line for line in bare.splitlines() if not line.startswith(("tempo:", "keys:"))]
    path.write_text("\n".join(lines) + "\n", "utf-8")
    code, _, err = handbook("--project", project, "tracks", "low-tide")
    assert code == 1 and "nothing to hear" in err


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
