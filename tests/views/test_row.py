"""The flat row of an exercise."""

import json

from chorus_handbook.views.fields import FIELDS


def test_record_is_whole_numbers_words_and_lists(stock):
    stock.add(
        "gangway",
        {"seconds_per_pass": 4.28571, "step_share": 2 / 3},
        "soprano alto",
        tempo=92.5,
        minutes=2.5,
        range="P5",
        voices="upper",
        formation="circle",
        answers={"phrase-length": "they like it"},
    )
    views, _ = stock.read()
    row = views.rows["gangway"]
    assert set(row) == set(FIELDS)
    wanted = {
        "slug": "gangway",
        "title": "Gangway",
        "goals": ("blend",),
        "impact": 2,
        "minutes": 2500,
        "tempo": 92500,
        "passes": 1,
        "range": 7,
        "voices": ("soprano", "alto", "upper"),
        "voices_sing": ("soprano", "alto", "upper"),
        "step_out": "no",
        "formation": "circle",
        "moment": None,
        "also_called": None,
        "answers": ("phrase-length",),
        "notated": True,
        "key_count": 2,
        "seconds_per_pass": 4286,
        "step_share": 667,
        "largest_interval_name": None,
        "ambitus_semitones": 7,
        "lowest": 60,
        "highest": 67,
        "notes": 5,
        "voiced_seconds": 5000,
        "spoken_beats": 0,
    }
    assert {name: row[name] for name in wanted} == wanted
    assert json.loads(json.dumps(dict(row)))["goals"] == ["blend"]


def test_what_is_not_measured_is_not_stated(stock):
    stock.add("still")
    views, _ = stock.read()
    row = views.rows["still"]
    measured = ["seconds_per_pass", "parts", "key_count", "mode", "lowest", "notes", "voices_sing"]
    assert [row[name] for name in measured] == [None] * len(measured)
    assert row["notated"] is False


def test_a_leader_alone_gives_the_chorus_no_notes(stock):
    stock.add("call", sung_by="leader")
    views, _ = stock.read()
    row = views.rows["call"]
    assert (row["voices_sing"], row["notes"], row["highest"]) == (None, None, None)


def test_what_is_only_spoken_has_no_span(stock):
    stock.add("call", {"ambitus_semitones": 0, "parts": 1}, spoken=True)
    views, _ = stock.read()
    row = views.rows["call"]
    spans = ["ambitus_semitones", "largest_interval", "largest_leap", "lowest", "highest"]
    assert [row[name] for name in spans] == [None] * len(spans)
    assert row["parts"] == 1
