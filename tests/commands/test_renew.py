"""Files of an older format are changed to the present one, and nothing else in them."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import pipeline
from chorus_handbook.chorus.file_format import FIRST_FORMAT, FORMAT
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.entries.renewal import STEPS, renewed, with_format

Run = Callable[..., tuple[int, str, str]]
OLD_VIEWS = """\
# Lists.
- slug: recalled
  title: Recalled
  intro: Those with a word that recalls them.
  where:
    reminder: stated   # reminder
  any:
    - {reminder: stated, impact: at most 3}
  order: [impact, reminder]
"""


@pytest.fixture
def old(project: Path) -> Path:
    """A handbook in format 1, with comments."""
    root = project / "handbook"
    exercise = root / "exercises" / "low-tide.md"
    text = exercise.read_text("utf-8").replace("minutes: 2", "reminder: ebb   # reminder: short")
    text = text.replace("tempo: 84", "minutes: 2\ntempo:  84  # slow").replace(
        "Hum it.", "reminder: hum it."
    )
    exercise.write_text(text, encoding="utf-8")
    (root / "views.yml").write_text(OLD_VIEWS, encoding="utf-8")
    (root / "chorus.yml").write_text(
        "# Ours.\n" + (root / "chorus.yml").read_text("utf-8"), "utf-8"
    )
    return project


def texts(project: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(project)): path.read_bytes()
        for path in sorted((project / "handbook").rglob("*"))
        if path.is_file()
    }


def test_old_files_are_renewed_once(old: Path, handbook: Run) -> None:
    assert {p.code for p in pipeline.check(old / "handbook")} == {"field-unknown", "view-field"}
    code, shown, _ = handbook("--project", old, "renew", "--yes")
    changed = [line for line in shown.splitlines() if line[:1] in "+-" and line[:3] not in "+++---"]
    assert code == 0 and changed == [
        "-    reminder: stated   # reminder",
        "+    cue: stated   # reminder",
        "-    - {reminder: stated, impact: at most 3}",
        "-  order: [impact, reminder]",
        "+    - {cue: stated, impact: at most 3}",
        "+  order: [impact, cue]",
        "-reminder: ebb   # reminder: short",
        "+cue: ebb   # reminder: short",
        f"+format: {FORMAT}",
    ]
    assert pipeline.check(old / "handbook") == []
    once = texts(old)
    assert once["handbook/chorus.yml"].startswith(b"# Ours.\nformat: 2\nname:")
    code, shown, err = handbook("--project", old, "renew", "--yes")
    assert (code, shown, texts(old)) == (0, "", once) and "Nothing to change" in err


def test_without_yes_it_only_shows(old: Path, handbook: Run) -> None:
    before = texts(old)
    code, shown, err = handbook("--project", old, "renew")
    assert code == 1 and "+cue: ebb" in shown and "--yes" in err and texts(old) == before


@pytest.mark.parametrize(("answer", "written"), [("y", True), ("no", False), ("", False)])
def test_it_asks(
    old: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch, answer: str, written: bool
) -> None:
    before = texts(old)
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: answer)
    code, _, _ = handbook("--project", old, "renew")
    assert (code == 0) is written and (texts(old) != before) is written


def test_line_ends_and_byte_order_mark_stay(old: Path, handbook: Run) -> None:
    path = old / "handbook" / "exercises" / "low-tide.md"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    before = path.read_bytes()
    assert handbook("--project", old, "renew", "--yes")[0] == 0
    assert path.read_bytes() == before.replace(b"\r\nreminder:", b"\r\ncue:")


def test_all_other_lines_stay_to_the_byte(old: Path, handbook: Run) -> None:
    path = old / "handbook" / "exercises" / "low-tide.md"
    lines = path.read_bytes().replace(b"Hum it.", "Hum\u2028it.".encode()).split(b"\n")
    before = b"".join(line + (b"\r\n", b"\n", b"\r")[n % 3] for n, line in enumerate(lines))
    path.write_bytes(before)
    assert handbook("--project", old, "renew", "--yes")[0] == 0
    assert path.read_bytes() == before.replace(b"reminder: ebb", b"cue: ebb")


def test_what_cannot_be_read_keeps_the_old_format(old: Path, handbook: Run) -> None:
    path = old / "handbook" / "exercises" / "low-tide.md"
    path.write_bytes(path.read_bytes().replace(b"ebb", b"\xe9bb"))
    before = texts(old)
    code, shown, err = handbook("--project", old, "renew", "--yes")
    assert (code, shown, texts(old)) == (1, "", before) and "UTF-8" in err
    path.write_bytes(b"")
    assert handbook("--project", old, "renew", "--yes")[0] == 0


def test_with_an_error_of_yaml_nothing_is_changed(old: Path, handbook: Run) -> None:
    path = old / "handbook" / "exercises" / "low-tide.md"
    path.write_text(path.read_text("utf-8").replace("impact: 2", "impact: [2"), "utf-8")
    before = texts(old)
    code, shown, err = handbook("--project", old, "renew", "--yes")
    assert (code, shown, texts(old)) == (1, "", before) and "low-tide.md" in err


def test_a_full_disk_leaves_all_as_it_was(
    old: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    import os

    before, opened = texts(old), []

    def full(handle: int, mode: str) -> object:
        opened.append(handle)
        if len(opened) == 3:
            os.close(handle)
            raise OSError(errno.ENOSPC, "full")
        return fdopen(handle, mode)

    fdopen = os.fdopen
    monkeypatch.setattr(os, "fdopen", full)
    code, _, err = handbook("--project", old, "renew", "--yes")
    assert code == 1 and "the disk is full" in err and texts(old) == before


@pytest.mark.parametrize("value", ["3", "0", "two", "true"])
def test_what_is_no_format_of_ours_is_refused(old: Path, handbook: Run, value: str) -> None:
    path = old / "handbook" / "chorus.yml"
    path.write_text(f"format: {value}\n" + path.read_text("utf-8"), "utf-8")
    before = texts(old)
    code, _, err = handbook("--project", old, "renew", "--yes")
    assert code in (1, 2) and "format" in err and texts(old) == before


def test_the_steps_lead_from_the_first_format_to_the_present_one() -> None:
    assert [step.leads_to for step in STEPS] == list(range(FIRST_FORMAT + 1, FORMAT + 1))


@pytest.mark.parametrize(("old_name", "new_name"), FrontMatter.RENAMED.items())
def test_every_renamed_field_has_its_step(old_name: str, new_name: str) -> None:
    text = f"---\ntitle: A\n{old_name}: a\n---\nText.\n"
    assert renewed("exercises/a.md", text, FIRST_FORMAT) == text.replace(old_name, new_name)
    assert renewed("exercises/a.md", text, FORMAT) == text
    assert renewed("about.md", text, FIRST_FORMAT) == text


def test_a_stated_format_is_replaced_in_its_place() -> None:
    assert with_format("name: A\nformat: 1  # ours\n") == "name: A\nformat: 2  # ours\n"
