"""`handbook suggest`: a warm-up by wish, with its reasons, and plain lines where there is none."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.pipeline import check

Run = Callable[..., tuple[int, str, str]]
DATE = ("--date", "2126-12-12")  # no day that is past


def test_one_exercise_makes_a_warm_up(project: Path, handbook: Run) -> None:
    code, out, err = handbook("--project", project, "suggest", *DATE, "--minutes", "5")
    path = project / "handbook" / "warmups" / "2126-12-12-warm-up-of-12-december.md"
    assert (code, out.strip()) == (0, str(path))
    assert "0:00  Low tide (low-tide): quiet sound for breath flow." in err
    assert "  - exercise: low-tide\n" in path.read_text("utf-8")
    assert check(project / "handbook") == []


def test_nothing_is_overwritten_and_a_dry_run_writes_nothing(project: Path, handbook: Run) -> None:
    words = ("--project", project, "suggest", *DATE, "--minutes", "5")
    code, out, _ = handbook(*words, "--dry-run")
    assert code == 0 and out.startswith("---\ntitle: Warm-up of 12 December\ndate: 2126-12-12\n")
    assert not (project / "handbook" / "warmups").exists()
    assert handbook(*words)[0] == 0
    (path,) = (project / "handbook" / "warmups").iterdir()
    before = path.read_bytes()
    code, _, err = handbook(*words, "--starts", "20:30")
    assert code == 2 and "is there already; choose another title or date" in err
    code, _, err = handbook(*words, "--title", "Another")
    assert code == 2 and "This warm-up begins before" in err  # both in the same room at 19:30
    assert [one.read_bytes() for one in (project / "handbook" / "warmups").iterdir()] == [before]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--minutes", "1"), "make no warm-up that meets this: 1 minute (--minutes 1)"),
        (("--minutes", "many"), "--minutes: write a number from 1 to 60"),
        (("--avoid", "low-tide"), "that meets this: without low-tide (--avoid low-tide)"),
        (("--avoid", "hum"), "that meets this: without hum (--avoid hum)"),
        (("--avoid", "high-tide"), '--avoid: there is no exercise "high-tide". Did you mean "low-'),
        (("--keep", "hgih tide"), '--keep: there is no exercise "hgih tide".'),
        (("--lead-into", "resonanz"), 'there is no goal "resonanz". Did you mean "resonance"?'),
        (("--present", "sopranos"), 'no voice or group "sopranos". Did you mean "soprano"?'),
        (("--few", "cello"), 'there is no voice or group "cello". There are soprano, alto,'),
        (("--there", "bass at 19:40"), '--there: "at 19:40" cannot be read as the time'),
        (("--there", "cello from 19:40"), '--there: there is no voice or group "cello"'),
        (("--date", "2126-02-30"), "--date: "),
        (("--kind", "sunday"), "--kind cannot be"),
        (("--seed", "-1"), "--seed"),
        (("--title", "a" * 90), "--title: write a title"),
    ],
)
def test_what_cannot_be_is_said_in_one_line(
    project: Path, handbook: Run, words: tuple[str, ...], sentence: str
) -> None:
    code, out, err = handbook("--project", project, "suggest", *DATE, *words)
    assert (code, out) == (2, "") and sentence in err and err.count("\n") == 1, err
    assert not (project / "handbook" / "warmups").exists()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ("--avoid", "low-tide", "--keep", "low-tide"),
            "do not go together: without low-tide (--avoid low-tide) and with low-tide (--keep",
        ),
        (
            ("--avoid", "breath-flow", "--lead-into", "Breath flow", "--tired"),
            "together: without breath-flow (--avoid breath-flow) and leading into breath-flow (--",
        ),
        (
            ("--minutes", "3", "--keep", "low-tide", "--keep", "High tide", "--few", "bass"),
            "with low-tide (--keep low-tide), with high-tide (--keep high-tide) and 3 minutes (--m",
        ),
    ],
)
def test_wishes_that_do_not_go_together_are_named_and_no_others(
    project: Path, handbook: Run, words: tuple[str, ...], sentence: str
) -> None:
    low = project / "handbook" / "exercises" / "low-tide.md"
    text = (
        low.read_text("utf-8").replace("Low tide", "High tide").replace("breath-flow", "resonance")
    )
    low.with_name("high-tide.md").write_text(text, "utf-8")
    code, out, err = handbook("--project", project, "suggest", *DATE, *words)
    assert (code, out) == (2, "") and sentence in err and err.count("\n") == 1, err
    assert "tired" not in err and "few" not in err  # they do not stand in the way


def test_a_day_that_is_past_and_a_log_that_cannot_be_are_said(project: Path, handbook: Run) -> None:
    folder = project / "handbook" / "warmups"
    folder.mkdir()
    item = "  - exercise: low-tide\n    sung: skipped\n    top: C4\n"
    head = "title: First night\ndate: 2126-12-05\nstarts: 19:30\nminutes: 8\n"
    (folder / "2126-12-05-first-night.md").write_text(f"---\n{head}items:\n{item}---\n", "utf-8")
    words = ("--project", project, "suggest", "--dry-run")
    code, out, err = handbook(*words)
    assert code == 0 and "\ndate: 2126-12-12\nstarts: 19:30\nminutes: 8\n" in out  # a week later
    assert "first-night.md says what was sung, although its day has not come yet." in err
    assert "says that low-tide was left out, and that it reached C4; it counts as left out" in err
    code, _, err = handbook(*words, "--date", "2020-01-02")
    assert code == 0 and "For your information: Thursday 2 January 2020 is past." in err


def test_a_stock_that_makes_no_warm_up_is_told(project: Path, handbook: Run) -> None:
    file = project / "handbook" / "exercises" / "low-tide.md"
    text = file.read_text("utf-8")
    loud = text.replace("impact: 2", "impact: 4").replace("sounding: hum", "sounding: calling")
    file.write_text(loud, "utf-8")
    code, _, err = handbook("--project", project, "suggest", *DATE)
    assert code == 2 and "one begins with an item for the body or the breath" in err
    file.unlink()
    assert handbook("--project", project, "suggest", *DATE)[0] == 2
