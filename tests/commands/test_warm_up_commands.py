"""`handbook plan`, `cue` and `sung`: an evening from the plan to the log."""

from __future__ import annotations

import re
from codecs import BOM_UTF8
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from chorus_handbook.commands.days import read_day
from chorus_handbook.pipeline import check

Handbook = Callable[..., tuple[int, str, str]]

PLAN = """\
---
title: First night   # back from the summer
date: 2026-09-03
starts: 19:30
minutes: 8
leader: The director
items:
  # gently
  - exercise: low-tide
    keys: C4 up to Db4
    keep: opener

  - exercise: low-tide
    minutes: 4
    if_time: 1
    remark: An old one.
  - exercise: low-tide
---
Coats on.
"""
SUNG = """\
warm_up: 2026-09-03-first-night
chorus: "Testing Chorus"
items:
  - exercise: low-tide
    sung: yes
    top: Db4
    remark: "Too \\"high\\": rest."
  - exercise: low-tide
    sung: cut
  - exercise: low-tide
    sung: yes
"""


@pytest.fixture
def night(project: Path) -> Path:
    path = project / "handbook" / "warmups" / "2026-09-03-first-night.md"
    path.parent.mkdir()
    path.write_text(PLAN, "utf-8")
    (project / "stand.sung.yml").write_text(SUNG, "utf-8")
    return path


def test_what_was_sung_is_taken_over_and_nothing_else_changes(
    project: Path, night: Path, handbook: Handbook
) -> None:
    code, out, err = handbook("--project", project, "sung", project / "stand.sung.yml")
    assert (code, out.strip()) == (0, str(night)) and "has not come" not in err
    text = night.read_text("utf-8")
    log = '    sung: yes\n    top: Db4\n    remark: "Too \\"high\\": rest."\n'
    assert f"    keep: opener\n{log}\n  - exercise" in text
    assert "An old one" not in text and "# gently" in text and "# back from the summer" in text
    without = re.sub(r"\n    (?:sung|top|remark): [^\n]*", "", text)
    assert without == PLAN.replace("\n    remark: An old one.", "")
    assert check(project / "handbook") == []
    assert handbook("--project", project, "sung", project / "stand.sung.yml")[0] == 0  # again
    assert night.read_text("utf-8") == text
    night.write_bytes(BOM_UTF8 + PLAN.replace("\n", "\r\n").encode())
    assert handbook("--project", project, "sung", project / "stand.sung.yml")[0] == 0
    assert night.read_bytes() == BOM_UTF8 + text.replace("\n", "\r\n").encode()


def test_check_says_who_comes_when_all_is_over(project: Path, night: Path) -> None:
    night.write_text(PLAN.replace("leader:", "there: {bass: from 22:00}\nleader:"), "utf-8")
    (found,) = [one for one in check(project / "handbook") if one.code == "warmup-arrival"]
    assert found.message == "bass comes at 22:00, but the warm-up is over by 19:38."
    told = "there: {bass: from 22:00}\nanswers: {warmup-arrival: They sing at ten.}\nleader:"
    night.write_text(PLAN.replace("leader:", told), "utf-8")
    assert not [one for one in check(project / "handbook") if one.code == "warmup-arrival"]


def test_a_log_of_a_day_that_has_not_come_is_said(
    project: Path, night: Path, handbook: Handbook
) -> None:
    later = night.with_name("2126-09-03-first-night.md")
    later.write_text(PLAN.replace("2026-", "2126-"), "utf-8")
    saved = project / "stand.sung.yml"
    saved.write_text(SUNG.replace("2026-", "2126-"), "utf-8")
    code, out, err = handbook("--project", project, "sung", saved)
    assert (code, out.strip()) == (0, str(later))
    assert "Tuesday 3 September 2126, the day of this warm-up, has not come yet; if it was" in err


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"Testing Chorus"', '"Other Chorus"', 'of "Other Chorus"'),
        ("first-night", "second-night", "Did you mean"),
        ("  - exercise: low-tide\n    sung: cut\n", "", "no longer those that were sung"),
        ("exercise: low-tide", "exercise: high-tide", "no longer those that were sung"),
        ("sung: cut", "sung: perhaps", '"sung" cannot be "perhaps"'),
        ("items:", "item:", "not a file that the music stand saved"),
        (SUNG, "\x00", "not a file that the music stand saved"),
        (SUNG, "- [", "not a file that the music stand saved"),
        (SUNG, PLAN, "not a file that the music stand saved; the name of such a file ends in"),
        (SUNG, "# Read me\n\nHow: so.\n", "not a file that the music stand saved"),
        ("top: Db4", "top: Db9", "Low tide (low-tide) is not sung in Db9: its keys are between C4"),
    ],
)
def test_what_does_not_fit_is_refused_and_nothing_is_lost(
    project: Path, night: Path, handbook: Handbook, old: str, new: str, words: str
) -> None:
    assert old in SUNG
    (project / "stand.sung.yml").write_text(SUNG.replace(old, new), "utf-8")
    code, _, err = handbook("--project", project, "sung", project / "stand.sung.yml")
    assert code == 2 and words in err and err.count("\n") == 1
    assert night.read_text("utf-8") == PLAN


def test_a_log_gives_way_only_when_asked(project: Path, night: Path, handbook: Handbook) -> None:
    logged = PLAN.replace("    keep: opener\n", "    keep: opener\n    sung: skipped\n")
    night.write_text(logged, "utf-8")
    code, _, err = handbook("--project", project, "sung", project / "stand.sung.yml")
    assert code == 2 and "--replace" in err and night.read_text("utf-8") == logged
    assert handbook("--project", project, "sung", project / "stand.sung.yml", "--replace")[0] == 0
    assert "skipped" not in night.read_text("utf-8")


def test_items_in_brackets_are_left_to_their_author(
    project: Path, night: Path, handbook: Handbook
) -> None:
    short = re.sub(r"items:\n.*?---", "items: [{exercise: low-tide}]\n---", PLAN, flags=re.DOTALL)
    night.write_text(short, "utf-8")
    told = SUNG.partition("  - exercise: low-tide\n    sung: cut")[0]
    (project / "stand.sung.yml").write_text(told, "utf-8")
    code, _, err = handbook("--project", project, "sung", project / "stand.sung.yml")
    assert code == 2 and "lines of its own" in err and night.read_text("utf-8") == short


def test_next_week_begins_from_what_was_sung(
    project: Path, night: Path, handbook: Handbook
) -> None:
    handbook("--project", project, "sung", project / "stand.sung.yml")
    code, out, _ = handbook("--project", project, "plan", "--from-last", "--title", "Second: night")
    path = night.parent / "2026-09-10-second-night.md"
    assert (code, out.strip()) == (0, str(path))
    text = path.read_text("utf-8")
    for line in ('title: "Second: night"', "starts: 19:30", "minutes: 8", "leader: The director"):
        assert line in text
    assert text.count("- exercise: low-tide") == 2 and "keys: C4 up to Db4" in text
    assert "sung" not in text and "remark" not in text
    assert check(project / "handbook") == []
    code, out, _ = handbook(
        *("--project", project, "plan", "--title", "Third", "--exercise", "Low Tide")
    )
    assert code == 0 and "keys: C4 up to Db4" in Path(out.strip()).read_text("utf-8")
    again = ("--date", "2026-09-10", "--title", "Second night")
    assert handbook("--project", project, "plan", "--from-last", *again)[0] == 2


def test_a_new_plan_says_what_is_worth_knowing(project: Path, handbook: Handbook) -> None:
    """High tide was new on the fourth evening, and is left out again six weeks later."""
    exercises = project / "handbook" / "exercises"
    text = (exercises / "low-tide.md").read_text("utf-8")
    (exercises / "high-tide.md").write_text(text.replace("Low Tide", "High Tide"), "utf-8")
    (project / "handbook" / "warmups").mkdir()
    for day in ("2026-09-03", "2026-09-10", "2026-09-17", "2026-09-24"):
        items = "- {exercise: low-tide, sung: yes}\n"
        items += "- {exercise: high-tide, sung: yes}\n" if day == "2026-09-24" else ""
        front = f"title: T\ndate: {day}\nstarts: 19:30\nminutes: 8\nitems:\n{items}"
        (project / f"handbook/warmups/{day}-t.md").write_text(f"---\n{front}---\n", "utf-8")
    plan = ("--project", project, "plan", "--title", "N", "--exercise", "low-tide")
    said = handbook(*plan, "--date", "2026-11-05")[2]
    assert "and left out this time: high-tide." in said
    assert "no exercise has been new since 2026-09-24." in said


def test_a_plan_from_exercises_or_a_routine(project: Path, handbook: Handbook) -> None:
    routine = project / "handbook" / "routines" / "four.md"
    routine.parent.mkdir()
    routine.write_text("---\ntitle: Four\nitems:\n  - exercise: low-tide\n    keys: D4\n---\n")
    about = ("--project", project, "plan", "--date", "2026-10-01")
    code, out, err = handbook(*about, "--title", "One", "--exercise", "Low tide")
    assert code == 0, err
    assert "exercise: low-tide" in Path(out.strip()).read_text("utf-8")
    code, out, _ = handbook(
        *about, "--title", "Two", "--starts", "10:00", "--routine", "four", "--kind", "short"
    )
    assert code == 0
    text = Path(out.strip()).read_text("utf-8")
    assert "keys: D4" in text and "kind: short" in text and "starts: 10:00" in text
    assert check(project / "handbook") == []


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--exercise", "low-tied", "--title", "A"), 'Did you mean "low-tide"?'),
        (("--exercise", "low-tide"), "--title"),
        (("--from-last", "--title", "A"), "no warm-up yet"),
        (("--routine", "x", "--title", "A"), 'there is no routine "x"'),
        (("--exercise", "low-tide", "--title", "A", "--date", "2026-02-30"), "not in the calendar"),
        (("--exercise", "low-tide", "--title", "A", "--minutes", "-3"), "number from 1 to 60"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(
    project: Path, handbook: Handbook, options: tuple[str, ...], words: str
) -> None:
    code, _, err = handbook("--project", project, "plan", *options)
    assert code == 2 and words in err
    assert not (project / "handbook" / "warmups").exists()


SUNDAY = date(2026, 11, 29)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-12-03", "2026-12-03"),
        ("Thursday", "2026-12-03"),
        ("next Thursday", "2026-12-03"),
        ("thu", "2026-12-03"),
        ("on sunday", "2026-11-29"),
        ("next Sunday", "2026-12-06"),
        ("tomorrow", "2026-11-30"),
        ("3 December 2026", "2026-12-03"),
        ("Thursday, 3rd December 2026", "2026-12-03"),
        ("December 3", "2026-12-03"),
        ("3 nov", "2027-11-03"),  # the next one
        ("29 February", "2028-02-29"),
        ("Friday 3 December 2026", "Thursday 3 December 2026 is not a Friday"),
        ("30 February 2026", "not in the calendar"),
        ("2026-02-30", "not in the calendar"),
        ("soon", "Thursday or next Thursday"),
        ("03/12/2026", "Thursday or next Thursday"),  # a day or a month first: read as neither
        ("", "Thursday or next Thursday"),
        ("next", "Thursday or next Thursday"),
    ],
)
def test_a_day_is_read_as_people_write_it(text: str, day: str) -> None:
    try:
        found = read_day(text, SUNDAY).isoformat()
    except ValueError as mistake:
        assert day in str(mistake)
    else:
        assert found == day


def test_a_plan_asks_again_only_for_what_is_wrong(
    project: Path, night: Path, handbook: Handbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter(
        (
            *("someday", "2026-09-03", "Thursday 3 December 2099", "", "", "8"),  # up to minutes
            *("low-tide, lows, xyz, Low  TIDE", "?", "", "-"),
        )
    )
    asked: list[str] = []
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda prompt: asked.append(prompt) or next(answers))
    code, out, err = handbook("--project", project, "plan")
    assert code == 0 and err.index("already") < err.index("Thursday 3 December 2099"), err
    assert 'There is a warm-up on Thursday 3 September 2026 already: "First night".' in err
    assert asked[3] == "Title [Warm-up of 3 December]: "
    assert 'no exercise "lows". Did you mean "low-tide"? And there is no exercise "xyz".' in err
    assert asked[-3:-1] == ['Instead of "lows" (- leaves it out) [low-tide]: '] * 2
    assert asked[-1] == 'Instead of "xyz" (- leaves it out): ' and "  low-tide  Low tide\n" in err
    text = Path(out.strip()).read_text("utf-8")
    assert text.count("exercise: low-tide") == 3 and "date: 2099-12-03" in text
    assert Path(out.strip()).parent == night.parent


@pytest.mark.parametrize(
    ("name", "words"), [(".", "is a folder"), ("", "is a folder"), ("x.sung.yml", "no file")]
)
def test_a_folder_is_no_log(
    project: Path, night: Path, handbook: Handbook, name: str, words: str
) -> None:
    code, _, err = handbook("--project", project, "sung", name)
    assert code == 2 and words in err and ".sung.yml" in err and err.count("\n") == 1
    assert night.read_text("utf-8") == PLAN


def test_a_director_may_go_on_beyond_the_planned_keys(
    project: Path, night: Path, handbook: Handbook
) -> None:
    (project / "stand.sung.yml").write_text(SUNG.replace("top: Db4", "top: D4"), "utf-8")
    code, _, err = handbook("--project", project, "sung", project / "stand.sung.yml")
    assert (
        code == 0
        and "Low tide (low-tide) was sung up to D4, but the planned keys were C4 up to Db4." in err
    )
    assert "top: D4" in night.read_text("utf-8") and check(project / "handbook") == []


@pytest.mark.usefixtures("night")
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("first NIGHT", ""),
        ("first-night", ""),
        ("handbook/warmups/2026-09-03-first-night.md", ""),
        ("2026-09-01", "no warm-up on 2026-09-01; the next is 2026-09-03 First night"),
        ("2026-09-04", "no warm-up on 2026-09-04; the last is 2026-09-03 First night"),
        ("nights", 'no warm-up or routine "nights". Did you mean "2026-09-03-first-night"?'),
        ("nosuch", 'no warm-up or routine "nosuch"; write the name of its file, such as 2026'),
    ],
)
def test_a_warm_up_is_named_by_file_name_date_or_title(
    project: Path, handbook: Handbook, name: str, words: str
) -> None:
    code, out, err = handbook("--project", project, "cue", name)
    assert code == (2 if words else 0) and words in err and ("First night" in out) == (not words)


def test_a_title_that_stands_twice_and_a_plan_with_errors(
    project: Path, night: Path, handbook: Handbook
) -> None:
    other = night.with_name("2026-09-10-again.md")
    other.write_text(PLAN.replace("2026-09-03", "2026-09-10"), "utf-8")
    code, _, err = handbook("--project", project, "cue", "First night")
    assert code == 2 and "the file of one: 2026-09-03-first-night, 2026-09-10-again" in err
    other.write_text(PLAN.replace("date:", "dat:"), "utf-8")
    code, _, err = handbook("--project", project, "cue", "2026-09-10-again")
    assert code == 2 and "2026-09-10-again.md has errors; `handbook check" in err


def test_a_cue_sheet_and_a_late_start(project: Path, night: Path, handbook: Handbook) -> None:
    code, out, _ = handbook("--project", project, "cue", "2026-09-03")
    assert code == 0
    assert "First night\n2026-09-03, 19:30, 8 min, led by The director" in out
    assert (
        "19:30  1 Low tide  C4 up to D♭4, 2 keys  quarter = 84\n       Soprano and Alto C4, Ten"
        in out
    )
    assert re.findall(r"(\d) Low tide .*\(if there is time\)", out) == ["2"]
    assert "       Say: Hum as if you agreed.\n       1 Hum it." in out
    assert "       1 Hum it." in out and "  3 Low tide" in out
    late = handbook("--project", project, "cue", night, "--late", "3")[1]
    assert "19:33  1 Low tide" in late and "Left out: 2 Low tide" in late
    assert "First night\n2026-09-03, 19:33 to 19:36 (3 min after 19:30), led by" in late
    again = night.read_text("utf-8").replace("tide\n---", "tide\n    at: 20:10\n---")
    night.write_text(again, "utf-8")
    late = handbook("--project", project, "cue", night, "--late", "3")[1]
    assert "20:10  3 Low tide" in late  # a later block begins at its own time all the same
    assert handbook("--project", project, "cue", "2026-09-04")[0] == 2
    (project / "handbook" / "routines").mkdir()
    routine = "---\ntitle: Daily\nitems:\n  - exercise: low-tide\n---\nHum.\n"
    (project / "handbook" / "routines" / "daily.md").write_text(routine, "utf-8")
    assert handbook("--project", project, "cue", ".")[0] == 2  # a routine has no date
