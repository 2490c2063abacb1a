"""What pages say of when an exercise was sung: only dates, and nothing where there is no log."""

from __future__ import annotations

from datetime import date

from chorus_handbook.pages.sung import last_sung, uses_in_words
from chorus_handbook.warmups.history import Appearance, Uses
from chorus_handbook.warmups.rotation import Log

DAYS = tuple(date(2026, month, 3).toordinal() for month in (6, 7, 8, 9))
LOG = Log({"slipway": DAYS}, DAYS)
PAGE = "exercises/slipway.md"
SUNG = Appearance("2026-09-03", "warmups/2026-09-03-night.md", "Night", sung=True, top="F#4")


def test_lists_carry_the_last_three_days() -> None:
    assert last_sung("slipway", LOG) == (
        '<span class="hb-last-sung" data-sung="2026-07-03 2026-08-03 2026-09-03">'
        "Last sung 3 September 2026</span>"
    )


def test_only_a_log_of_three_days_tells_what_is_new() -> None:
    assert last_sung("eddies", Log({}, DAYS[:2])) == ""
    assert last_sung("eddies", LOG) == (
        '<span class="hb-last-sung" data-sung="">New: not sung yet</span>'
    )


def test_without_warm_ups_a_page_says_nothing() -> None:
    assert uses_in_words(PAGE, Uses(), Log()) == ""
    assert "Not sung yet." in uses_in_words(PAGE, Uses(), LOG)


def test_a_page_says_when_how_high_and_what_was_remarked() -> None:
    low = Appearance("2026-08-03", "warmups/2026-08-03-noon.md", "Noon", sung=True, top="Eb4")
    left = Appearance("2026-07-03", "warmups/a.md", "A", remark="<b>No time.</b>")
    html = uses_in_words(PAGE, Uses((SUNG, low, left), (("routines/q.md", "Q&A"),), DAYS), LOG)
    assert '<time datetime="2026-09-03">3 September 2026</time>' in html
    assert "Highest key so far: F\u266f4." in html
    assert '<a href="../../warmups/2026-08-03-noon/">Noon</a><span>up to E\u266d4</span>' in html
    assert "<span>left out</span>" in html and "&lt;b&gt;No time." in html
    assert 'Routine: <a href="../../routines/q/">Q&amp;A</a>' in html


def test_of_many_warm_ups_the_older_ones_are_counted_but_no_remark_is_lost() -> None:
    old = Appearance("2026-01-01", "warmups/2026-01-01-old.md", "Old", sung=True)
    remarked = Appearance("2026-01-02", "warmups/b.md", "B", sung=True, remark="Too high.")
    html = uses_in_words(PAGE, Uses((*[SUNG] * 8, old, remarked, old), (), DAYS), LOG)
    assert html.count("<li>") == 10 and "Too high." in html and "and 2 earlier ones" in html
