"""The page of a warm-up, its cue sheet, the list, and what exercises say of when they were sung."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from html import unescape
from pathlib import Path

import pytest

from chorus_handbook.pages.cue_sheet import MOST_STAVES

NIGHT = "warmups/2026-11-12-fog-comes-in"


def page(site: Path, address: str) -> str:
    """What stands between the head and the foot of a page."""
    whole = (site / address / "index.html").read_text("utf-8")
    return whole.partition("<main")[2].partition("</main>")[0]


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


@pytest.fixture(scope="module")
def night(demo_site: Path) -> str:
    return page(demo_site, NIGHT)


@pytest.fixture(scope="module")
def plan(night: str) -> str:
    return night.partition('class="hb-strip"')[0]


@pytest.fixture(scope="module")
def sheet(night: str) -> str:
    return night.partition('class="hb-sheet"')[2]


def test_each_item_has_its_time_of_day(plan: str) -> None:
    """Each begins when the one before is over, and 15 or 45 seconds later (common practice). The
    first formation is told, too, but is no change."""
    shown = re.findall(r'hb-order-time">([\d:]+)<', plan)
    lengths = re.findall(r'<p class="hb-quiet">(?:(\d+) min)? ?(?:(\d+) s)?', plan)
    moves = [("hb-moves" in item) for item in plan.split("<li")[1:] if "hb-order-time" in item]
    assert len(shown) == len(lengths) == len(moves) == 7 and sum(moves) == 3
    now = datetime(2026, 11, 12, 19, 30)
    for number, (minutes, seconds) in enumerate(lengths):
        changes = moves[number] and any(moves[:number])
        now += timedelta(seconds=0 if not number else 45 if changes else 15)
        assert shown[number] == f"{now.hour}:{now.minute:02}"
        now += timedelta(minutes=int(minutes or 0), seconds=int(seconds or 0))


def test_it_says_what_the_director_asks(plan: str) -> None:
    said = text_of(plan)
    for words in (
        "Thursday, 12 November 2026 , 19:30 to 19:45",
        "Leads into Two carols: C3, E4, G4, C5; asks for blend",
        "D4 down to B♭3, 5 keys . Starting notes: Soprano and Alto D4, Tenor and Bass D3.",
        "cue word: fog",
        "new",
        "Move: In facing pairs",
        "sung, up to E4: The third stands.",
        "Not sung on 5 November 2026 :",
        "Left out since 5 November 2026 :",
    ):
        assert words in said, words
    assert "Stop if it hurts, scratches or feels like pushing. (item 5)" in said
    assert (
        "If you start 5 minutes late, leave out: 5 Wide broken chord in two pairs of voices; 6"
        in said
    )
    assert (
        "Sung fewer than three times so far, and left out this time: Timed breathing on a hiss."
        in said
    )


def test_the_chart_says_what_its_table_says(plan: str) -> None:
    (told,) = re.findall(r'hb-build-up"[^>]*aria-label="[^"]*: ([\d, ]+)\."', plan)
    rows = re.findall(r"<tr><th scope=\"row\"><span.*?</th><td>(\d)", plan)
    bars = re.findall(r'<rect [^>]*height="(\d+)"/><text[^>]*>(\d)<', plan)
    assert told.split(", ") == rows == [impact for _, impact in bars]
    heights = {int(height) / int(impact) for height, impact in bars}
    assert len(heights) == 1  # a bar is as high as its impact


def test_the_sheet_has_a_row_for_each_item_with_its_staff(sheet: str) -> None:
    rows = sheet.split("<tr>")[2:]
    assert len(rows) == 7 <= MOST_STAVES
    assert sum("<svg" in row for row in rows) == 6  # all but the one without notes
    assert all(row.count("<td") == 4 for row in rows)
    assert "Clean hands near the face. Sing the first note of every four" in text_of(rows[2])
    assert '2 Fill them in … 3 In each key once with "dah" …' in text_of(rows[2])
    assert "quarter = 60 · on “dah / ah”" in text_of(rows[2])
    assert text_of(rows[2]).startswith("19:35 5:00 3 Quick turns")
    assert "If you start 5 minutes late, leave out: 5 Wide broken chord in two" in text_of(sheet)
    assert "D down to B♭ minor" in text_of(rows[1])
    assert "C–E by whole tones" in text_of(rows[3])
    assert "fork A" in sheet and "Stop if it hurts" in sheet


def test_every_caution_of_the_page_stands_at_its_items_too(sheet: str) -> None:
    """Items and cautions as the demo's exercises and its vocabulary have them."""
    rows = [text_of(row) for row in sheet.split("<tr>")[2:]]
    for words, items in (
        ("Unsteady: sit, or hold a chair.", [1]),
        ("Sore or locking jaw: half as wide, or leave it out.", [2]),
        ("Pain, scratching or pushing: stop. Near your limits: lighter, or step out.", [5]),
    ):
        assert [n for n, row in enumerate(rows, 1) if words in row] == items


def test_who_comes_late_is_named_at_the_head_and_at_the_first_item(demo_site: Path) -> None:
    """The fifth item begins at 19:40, when the basses come."""
    night = page(demo_site, "warmups/2026-10-01-quick-and-light")
    plan, _, sheet = night.partition('class="hb-sheet"')
    page_text, _, strip = plan.partition('class="hb-strip"')
    assert text_of(page_text).count("Bass from 19:40") == 2
    assert text_of(strip).count("Bass from 19:40") == 1
    head, *rows = sheet.partition("</section>")[0].split("<tr>")
    assert "Bass from 19:40" in head
    items = [text_of(row).split()[2] for row in rows[1:] if "Bass from 19:40" in row]
    assert items == ["if"] and re.match(r"19:40 10:\d\d if time 5 Round", text_of(rows[5]))


def test_whoever_plays_has_a_line_for_each_item(night: str) -> None:
    """Chord or bare note, direction, first and last key, tempo, and the way from a fork's A, which
    is counted here by scale: C is two steps above A, a minor third."""
    strip = night.partition('class="hb-strip"')[2].partition("</section>")[0]
    lines = [text_of(line) for line in strip.split("<tr>")[2:]]
    assert len(lines) == 7 and lines[0].startswith("19:30 1 ")
    assert lines[0].endswith("nothing to play")
    assert "chord D minor D4 down to B♭3, 5 keys quarter = 84 up a fourth" in lines[1]
    assert "note C C4 up to E4 by whole tones, 3 keys" in lines[3]  # tuned against a held note
    assert lines[3].endswith("up a minor third") and lines[6].startswith("19:49 7 ")
    assert lines[6].partition("Without a piano")[0].strip().endswith("down a major third")


def test_a_second_block_and_staves_in_the_planned_key(demo_site: Path) -> None:
    """The trill is planned from D, two sharps; the exercise begins in E flat."""
    concert = page(demo_site, "warmups/2026-11-21-concert-in-the-chapel")
    plan, _, sheet = concert.partition('class="hb-sheet"')
    assert (
        "The later block stays as planned, at its own time. Even so, it takes 26 s longer than "
        "there is time for." in text_of(plan)
    )
    assert "Again at 18:50" in text_of(plan)
    row = next(row for row in sheet.split("<tr>") if "Falling threes" in row)
    signs = (row.count("#glyph-E262"), row.count("#glyph-E260"))  # SMuFL: sharps and flats
    assert signs == (2, 0)
    rows = [text_of(row).split(" ", 1)[0] for row in sheet.split("<tr>")[2:]]
    assert rows[5:] == ["18:50", "18:51"]
    again = sheet.split("<tr>")[-1]
    assert "As item 5." in text_of(again) and "<svg" not in again


def test_an_exercise_says_when_it_was_sung(demo_site: Path) -> None:
    fog_signal = page(demo_site, "exercises/fog-signal")
    assert 'data-sung="2026-10-08 2026-10-22 2026-11-12"' in fog_signal
    said = text_of(fog_signal)
    assert "Last sung on 12 November 2026 . Highest key so far: E4." in said
    assert "12 November 2026 : Fog comes in up to E4 The third stands." in said
    never = page(demo_site, "exercises/chart-table")
    assert "Not sung yet." in never and "<time" not in never


def test_the_list_says_what_was_sung_in_four_weeks(demo_site: Path) -> None:
    """Without scripts, up to the last day of the log, a concert; the plan after it has no log."""
    said = text_of(page(demo_site, "warmups").partition('class="hb-season"')[2])
    weeks = "In the 4 weeks up to 21 November 2026 : "
    assert f"{weeks}Body 4 times Standing tall and at ease At the mooring 4 Breath" in said
    assert "missing" not in said


def test_the_list_begins_with_the_newest(demo_site: Path) -> None:
    dates = re.findall(
        r"\d+ (?:September|October|November|December|January) 202[67]",
        page(demo_site, "warmups").partition("hb-index")[2],
    )
    assert len(dates) == 15 and (dates[0], dates[-1]) == ("7 January 2027", "10 September 2026")


def test_a_routine_has_minutes_in_place_of_times(demo_site: Path) -> None:
    quartet = page(demo_site, "routines/quartet-in-the-stairwell")
    assert re.findall(r'hb-order-time">([\d:]+)<', quartet)[0] == "0:00"
    assert "Six minutes for the quartet" in quartet


def test_only_voices_that_are_there_have_starting_notes(demo_site: Path) -> None:
    """In the sectional there are tenors and basses."""
    order = page(demo_site, "routines/sectional-below-decks").partition('id="hb-order"')[2]
    absent = re.findall(r'data-absent="([^"]*)"', order)  # nor are the others heard
    assert absent and {*absent} <= {"soprano alto", ""} and "soprano alto" in absent
    said = text_of(order.partition("</ol>")[0])
    assert re.search(r"Starting notes: Tenor .*Bass", said)
    assert "Soprano" not in said and "Alto" not in said


def test_home_leads_to_warm_ups_and_routines(demo_site: Path) -> None:
    ways = page(demo_site, "").partition('class="hb-ways"')[2].partition("</ul>")[0]
    assert re.findall(r'href="((?:warmups|routines)/)"', ways) == ["warmups/", "routines/"]
