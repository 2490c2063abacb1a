"""A warm-up in words: for older singers, on the music stand, and the way from a fork to a key."""

from __future__ import annotations

import re
from typing import Any

import pytest
from music21 import interval, pitch

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.files import ContentFile
from chorus_handbook.entries.model import EXERCISE, Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.pages.order_rows import OrderRow, in_short, order_rows
from chorus_handbook.pages.stand import stand
from chorus_handbook.pages.strip import from_fork
from chorus_handbook.pitch import Pitch
from chorus_handbook.records import Exercise
from chorus_handbook.records.making import make_record
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log
from conftest import PROJECT

ROOT = PROJECT / "handbook"


def rows(kind: str) -> list[OrderRow]:
    return planned(kind=kind)[1]


def planned(
    again: dict[str, Any] | None = None, **fields: Any
) -> tuple[Text[WarmUpFields], list[OrderRow], Chorus, Vocabulary]:
    """A warm-up with these fields, and its rows: one exercise of the demo, which begins in E flat,
    twice, the second time with the fields `again`."""
    config, _ = read_chorus_config(ROOT)
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    page = EXERCISE.page("slipway")
    record = make_record(ContentFile(ROOT / page, EXERCISE, "slipway", page), config, ROOT)
    assert isinstance(record.content, Exercise)
    stock = {"slipway": record.content}
    about = {"title": "Night", "date": "2026-09-03", "starts": "19:30", "minutes": 20}
    items = [{"exercise": "slipway"}, {"exercise": "slipway", **(again or {"at": "20:15"})}]
    front = WarmUpFields.model_validate({**about, **fields, "items": items})
    text = Text(WARM_UP.name, Source("night", "handbook/warmups/x.md", None, {}), "N", front)
    order = running_order(text, stock, chorus, vocabulary, Log())
    assert order
    order_of_it = order_rows(text, order, stock, chorus, vocabulary, with_status=False)
    return text, order_of_it, chorus, vocabulary


def test_seated_words_come_first_and_older_singers_begin_two_semitones_lower() -> None:
    seated, weekly = rows("seated")[0], rows("weekly")[0]
    assert seated.steps[0] == "Seated: the same, on the front half of the chair."
    assert seated.steps[1:] == weekly.steps and not seated.seated
    assert (seated.older, weekly.older) == ("D♭", "") and weekly.seated == seated.steps[0]


def test_a_later_block_is_said_with_its_time_of_day() -> None:
    first, later = rows("concert")
    assert (first.again, first.offset) == ("", "0:00")
    assert (later.again, later.offset) == ("20:15", "20:15")


def test_the_stand_says_under_the_name_what_the_leader_must_know_before() -> None:
    again = {"by": "Ann & Bo", "if_time": 1, "formation": "circle", "variation": "On noo."}
    there = {"bass": "from 19:50", "upper": "until 19:31"}
    text, order, chorus, vocabulary = planned(again, join_in=1, there=there)
    first, second = str(stand(text, order, 1, [], chorus, vocabulary)).split("<article")[1:3]
    about = [re.findall(r'hb-stand-about"[^>]*>(.*?)</p>', item) for item in (first, second)]
    assert about[0] == [
        "Scattered through the room · Bass from 19:50 · Soprano and Alto until 19:31"
    ]
    assert about[1] == [
        "In a circle · by Ann &amp; Bo · only if there is time · Bass from 19:50 · "
        "without Soprano and Alto · those who are late come in here"
    ]
    assert second.index("On noo.") < second.index("hb-stand-steps")
    assert order[0].listen.count(".") > 1  # the whole, not its first sentence


def test_each_key_is_offered_once_as_the_highest() -> None:
    text, order, chorus, vocabulary = planned({"keys": "C4 up to Eb4 and back"})
    log = str(stand(text, order, 0, [], chorus, vocabulary)).partition("hb-stand-log")[2]
    tops = [re.findall(r'<option value="(\w+\d)">', row) for row in log.split("<li")[1:]]
    assert tops[0] == ["Eb4", "D4", "Db4", "C4", "B3", "Bb3"]
    assert tops[1] == ["Eb4", "D4", "Db4", "C4"]


@pytest.mark.parametrize(
    ("tonic", "way"),
    [
        *(("A3", "the fork’s own note"), ("D4", "up a fourth"), ("E4", "down a fourth")),
        *(("Bb3", "up a minor second"), ("Eb4", "up a diminished fifth")),
        ("G4", "down a major second"),
    ],
)
def test_the_shorter_way_from_a_fork(tonic: str, way: str) -> None:
    """Intervals counted on the scale (common practice); a fork gives A."""
    assert from_fork(Pitch.parse(tonic)) == way


@pytest.mark.parametrize(
    ("text", "most", "short"),
    [
        ("Hum it.", 2, "Hum it."),
        ("From the hum to oo and back, three times, slowly.", 6, "From the hum to oo and back …"),
        (
            "From the hum to oo and back, three times, slowly.",
            9,
            "From the hum to oo and back, three times …",
        ),
        ("Rest. Lips will tickle; that is all right.", 4, "Rest. Lips will tickle …"),
        (
            "One long clause that nobody can cut anywhere",
            4,
            "One long clause that nobody can cut anywhere",
        ),
    ],
)
def test_a_text_is_cut_at_the_end_of_a_clause(text: str, most: int, short: str) -> None:
    assert in_short(text, most) == short


@pytest.mark.parametrize("key", "C Db D Eb E F F# Gb G Ab A Bb B".split())
def test_the_way_from_a_fork_is_named_as_music21_names_it(key: str) -> None:
    """music21 names the interval between the written notes; A to A flat, a unison of
    another quality, is a semitone (common practice)."""
    ways = []
    for octave in (3, 4, 5):
        other = pitch.Pitch(f"{key.replace('b', '-')}{octave}")
        between = interval.Interval(pitch.Pitch("A4"), other)
        ways.append((abs(between.semitones), between.semitones < 0, between.niceName))
    size, down, name = min(ways)
    expected = "semitone" if "Unison" in name else name.lower().removeprefix("perfect ")
    if size == 0:
        assert from_fork(Pitch.parse(f"{key}4")) == "the fork’s own note"
    else:
        article = "an" if expected[0] == "a" else "a"
        way = f"{'down' if down else 'up'} {article} {expected}"
        assert from_fork(Pitch.parse(f"{key}4")) == way
