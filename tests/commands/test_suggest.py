"""`handbook suggest`: a warm-up by wish, with its reasons, and plain lines where there is none."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest

from checked import Checked
from chorus_handbook.commands.suggest import next_date
from chorus_handbook.pipeline import check
from chorus_handbook.records.planning_numbers import planning_numbers

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
    assert code == 2 and "exists already; choose another title or date" in err
    code, _, err = handbook(*words, "--title", "Another")
    assert code == 2 and "-of-12-december.md is in the same room by then. To have both, " in err
    assert "write another --starts, --room or --date, or" in err and 'field "room"' not in err
    code, _, err = handbook(*words, "--title", "Another", "--starts", "19:28")
    assert code == 2 and "in the same room by then" in err and "--room" in err
    code, _, err = handbook(*words, "--title", "Another", "--starts", "19:33")
    assert code == 2 and "This warm-up begins before" in err and "--room" in err
    assert [one.read_bytes() for one in (project / "handbook" / "warmups").iterdir()] == [before]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--minutes", "1"), "meets this: 1 minute (--minutes 1); 3 minutes are enough for it"),
        (("--minutes", "many"), "--minutes: write a number from 1 to 60"),
        (("--avoid", "low-tide"), "that meets this: without low-tide (--avoid low-tide)"),
        (("--avoid", "hum"), "that meets this: without hum (--avoid hum)"),
        (("--avoid", "high-tide"), 'there is nothing called "high-tide". Did you mean "low-tide"?'),
        (("--avoid", "bodies"), "What may be avoided: exercises, by file or title; goals: "),
        (("--avoid", "bodies"), "; manners of sounding: hum, calling; formations: circle"),
        (("--second-block", "19:50"), "--second-block: only a concert has one; add --kind concert"),
        (("--kind", "concert", "--second-block", "soon"), '--second-block: "soon" cannot be read'),
        (("--kind", "concert", "--second-block", "19:32"), "19:32 is too early or too late; write"),
        (("--leader", "a" * 70), "is too long for a name. Write at most 60 characters."),
        (("--keep", "hgih tide"), '--keep: there is no exercise "hgih tide".'),
        (("--lead-into", "resonanz"), 'there is no goal "resonanz". Did you mean "resonance"?'),
        (("--present", "sopranos"), 'no voice or group "sopranos". Did you mean "soprano"?'),
        (
            ("--few", "cello"),
            'there is no voice or group "cello". Write one of these: soprano, alto,',
        ),
        (("--there", "bass at 19:40"), '--there: "at 19:40" cannot be read as the time'),
        (
            ("--minutes", "20", "--there", "bass from 22:00"),
            "--there: bass comes at 22:00, when the warm-up is over; it ends at 19:50",
        ),
        (("--there", "bass until 19:20"), "--there: bass leaves at 19:20, before the warm-up begi"),
        (("--there", "bass from 19:40 until 19:35"), "bass leaves before it comes; write"),
        (("--there", "bass from 19:32, alto at 19:33"), '--there: "at 19:33" cannot be'),
        (("--there", ""), "--there: write at least one voice and its hours, such as"),
        (("--present", ""), "--present: write at least one voice or group, or leave it out"),
        (("--present", " , "), "--present: write at least one voice or group, or leave it out"),
        (("--lead-into", ""), "--lead-into: write at least one goal, or leave it out"),
        (("--keep", ""), "--keep: write at least one exercise, or leave it out"),
        (("--avoid", ""), "--avoid: write at least one name, or leave it out"),
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
    code, out, err = handbook(*words, "--date", "2020-01-02")
    assert (code, out) == (2, "") and err.count("\n") == 1
    assert "Thursday 2 January 2020 is past, and a suggestion is for an evening to come" in err


def evening(folder: Path, day: str, *fields: str) -> None:
    """Write a warm-up of one item, with these further fields of the item."""
    folder.mkdir(exist_ok=True)
    head = f"title: Night\ndate: {day}\nstarts: 19:30\nminutes: 8\n"
    item = "\n    ".join(("exercise: low-tide", *fields))
    (folder / f"{day}-night.md").write_text(f"---\n{head}items:\n  - {item}\n---\n", "utf-8")


def test_reasons_count_the_log_and_name_the_plans_that_decide(project: Path, handbook: Run) -> None:
    folder = project / "handbook" / "warmups"
    words = ("--project", project, "suggest", "--dry-run", *DATE)
    evening(folder, "2126-11-14", "sung: yes")
    evening(folder, "2126-11-28")
    _, _, err = handbook(*words)
    assert "its third time, so that it settles (if it is sung on 28 November, as planned)" in err
    evening(folder, "2126-11-21")
    _, _, err = handbook(*words)
    assert (
        "sung once so far, needs no teaching (if it is sung on 21 November and 28 November" in err
    )
    evening(folder, "2126-11-21", "sung: yes")
    evening(folder, "2126-11-28", "sung: yes")
    evening(folder, "2126-12-05")
    _, _, err = handbook(*words)
    assert "needs no teaching: sung 3 times." in err and "as planned" not in err


def test_a_stock_that_makes_no_warm_up_is_told(project: Path, handbook: Run) -> None:
    file = project / "handbook" / "exercises" / "low-tide.md"
    text = file.read_text("utf-8")
    loud = text.replace("impact: 2", "impact: 4").replace("sounding: hum", "sounding: calling")
    file.write_text(loud, "utf-8")
    code, _, err = handbook("--project", project, "suggest", *DATE)
    assert code == 2 and "begins with an item for the body or the breath" in err
    file.unlink()
    assert handbook("--project", project, "suggest", *DATE)[0] == 2


def test_the_fields_of_people_and_room_are_given_or_copied(project: Path, handbook: Run) -> None:
    folder = project / "handbook" / "warmups"
    folder.mkdir()
    head = (
        "title: First night\ndate: 2126-12-05\nstarts: 19:30\nminutes: 8\nleader: Ann\nroom: Loft\n"
    )
    text = f"---\n{head}items:\n  - exercise: low-tide\n---\n"
    (folder / "2126-12-05-first-night.md").write_text(text, "utf-8")
    words = ("--project", project, "suggest", "--dry-run", "--room", "Hall", "--pianist", "Bea")
    code, out, _ = handbook(*words)
    assert code == 0 and "\nleader: Ann\npianist: Bea\nroom: Hall\n" in out
    code, out, _ = handbook(*words, "--leader", "")
    assert code == 0 and "leader" not in out
    plan = ("--project", project, "plan", "--title", "Third", "--exercise", "low-tide")
    code, out, _ = handbook(*plan, "--room", "Hall")
    assert code == 0 and "\nleader: Ann\nroom: Hall\n" in Path(out.strip()).read_text("utf-8")


def test_a_week_after_the_last_one_that_is_past_is_the_next_such_day() -> None:
    text = SimpleNamespace(front=SimpleNamespace(day=date(2026, 6, 4)))
    for today, day in (
        (date(2026, 6, 10), "2026-06-11"),
        (date(2026, 6, 11), "2026-06-11"),
        (date(2026, 9, 1), "2026-09-03"),
    ):
        assert next_date([text], today) == day  # type: ignore[list-item]
    assert next_date([], date(2026, 9, 1)) is None


CONCERT = ("suggest", "--dry-run", "--date", "2127-01-18", "--starts", "17:30", "--kind", "concert")


def test_a_concert_has_two_blocks(demo: Checked, demo_project: Path, handbook: Run) -> None:
    assert not demo.broken  # its records are made by now
    words = ("--project", demo_project, *CONCERT, "--minutes", "18")
    code, out, err = handbook(*words)
    assert code == 0 and out.count("    at: 18:50\n") == 1  # as at the last concert
    first, second = out.split("    at: 18:50\n")
    assert first.count("  - exercise: ") > 4 and "if_time" not in second
    assert "Again at 18:50, right before the concert:\n  0:00  " in err
    before, _, again = err.partition("Again at 18:50")
    lines = re.findall(r"\((\S+)\): (\w+)", again)
    assert lines and all((word == "again") == (f"({slug}):" in before) for slug, word in lines)
    took = re.search(r"2127: (\d+) \+ (\d+) of 18 minutes", err)
    assert took and int(took[2]) < 7 < int(took[1]) and sum(map(int, took.groups())) <= 18
    code, out, err = handbook(*words, "--second-block", "19:10")
    assert code == 0 and "    at: 19:10\n" in out
    code, out, err = handbook(*words, "--second-block", "none")
    assert code == 0 and "    at: " not in out and "say when it begins: --second-block" in err


def test_what_a_director_may_not_expect_is_said(
    demo: Checked, demo_project: Path, handbook: Run
) -> None:
    assert not demo.broken
    words = ("--project", demo_project, "suggest", "--dry-run", "--date", "2127-01-16")
    _, _, err = handbook(*words, "--kind", "short", "--minutes", "30", "--lead-into", "agility")
    assert "a short warm-up usually takes 6 minutes at most, so this one takes 9 at most." in err
    assert "weeks earlier, so this one is low and slow, as after a break" in err
    assert 'Nothing is mainly for agility; "' in err and '" serves it by the way.' in err
    _, out, err = handbook(*words, "--kind", "children", "--minutes", "8")
    assert "nothing in four parts is suggested for children" in err and "not sung for" not in err
    slugs = re.findall(r"exercise: (\S+)", out)
    vocabulary = demo.config.vocabulary
    assert vocabulary
    parts = [planning_numbers(demo.book.exercises[slug], vocabulary).parts for slug in slugs]
    assert parts and max(map(len, parts)) < 4
    code, out, _ = handbook(*words, "--avoid", "circle,reach", "--minutes", "20")
    assert code == 0 and "formation: circle" not in out and "between-decks" not in out
