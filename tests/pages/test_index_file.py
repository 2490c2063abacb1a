"""index.json: what pages load, small, and the data that a page carries."""

from __future__ import annotations

import gzip
import json
from datetime import date
from pathlib import Path

from checked import Checked
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entry, FrontMatter, Source
from chorus_handbook.pages.index_file import FIELDS, VERSION, index_json, page_data
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.records import Exercise
from chorus_handbook.records.published import index_entry
from chorus_handbook.views.evaluate import Row, make_row
from chorus_handbook.warmups.rotation import Log

LADDER = {
    "keys": ["C4", "Db4"],
    "tonics": [60, 61],
    "may_change_octave": False,
    "voices": {"alto": {"lowest": 60, "highest": 67, "held_lowest": None, "held_highest": None}},
}


def chorus(label: str = "Alto", limits: str = "E3 to E5") -> Chorus:
    voice = {"label": label, "clef": "treble", "comfortable": "G3 to C5", "limits": limits}
    return Chorus.model_validate({"name": "Test", "voices": {"alto": voice}})


def exercise(slug: str, title: str, **more: object) -> Exercise:
    fields = {"summary": "A slope.", "goals": ["tone"], "impact": 3, "sounding": "hum"}
    front = FrontMatter.model_validate({"title": title, "minutes": 2.5, **fields, **more})
    entry = Entry(Source(slug, f"handbook/exercises/{slug}.md", None, {}), front)
    return Exercise(entry, index_entry=index_entry(slug, front, LADDER if slug == "b" else None))


def row(found: Exercise) -> Row:
    return make_row(Subject(found.entry, chorus=chorus()))


VOCABULARY = Vocabulary.model_validate(
    {
        "goals": {"tone": {"label": "Tone", "about": "A tone."}},
        "soundings": {"hum": {"label": "Hum", "lowest_impact": 2}},
    }
)


def test_what_the_index_says_and_in_which_order() -> None:
    stock = {one.slug: one for one in (exercise("a", "b"), exercise("b", "A", plain="Hum, held"))}
    day = date(1970, 1, 31).toordinal()
    log = Log({"a": tuple(range(day - 4, day + 1))}, tuple(range(day - 4, day + 1)))
    rows = {slug: row(one) for slug, one in stock.items()}
    found = json.loads(index_json(stock, rows, chorus(), VOCABULARY, log))
    shared = {
        **{"summary": "A slope.", "goals": ["tone"], "impact": 3, "sounding": "hum"},
        **{"minutes": 2500, "known": 2500, "times": "2½", "who": "everyone"},
    }
    assert found.pop("words") == {
        "goals": {"tone": "Tone"},
        "impact": {
            **{"1": "no voice", "2": "gentle", "3": "light singing", "4": "full singing"},
            "5": "strong, brief",
        },
        "level": {"1": "at once", "2": "a few tries", "3": "over some weeks"},
        "moment": {
            **{"opening": "early", "middle": "once warmed up", "closing": "last"},
            "after": "after singing",
        },
        "sounding": {"hum": "Hum"},
        "voices_sing": {"all": "All voices", "alto": "Alto"},
        "motion": {
            **{"repeats": "repeated notes", "steps": "steps", "skips": "skips of a third"},
            **{"leaps": "leaps", "glide": "glides", "mixed": "mixed"},
        },
        "formation": {},
    }
    assert found == {
        "version": VERSION,
        "voices": {
            "alto": {
                "label": "Alto",
                "compass": {
                    "comfortable_low": 55,
                    "comfortable_high": 72,
                    "limit_low": 52,
                    "limit_high": 76,
                    "extended_low": 52,
                    "extended_high": 76,
                },
            }
        },
        "log": {"days": [26, 27, 28], "sung": {"a": [28, 29, 30]}},
        "exercises": [
            {"slug": "b", "title": "A", "plain": "Hum, held", "ladder": LADDER, **shared},
            {"slug": "a", "title": "b", **shared},
        ],
    }


def test_the_demos_index_is_its_rows(demo: Checked, demo_site: Path) -> None:
    index = json.loads((demo_site / "assets/handbook/index.json").read_text("utf-8"))
    assert len(index["exercises"]) == len(demo.views.rows)
    for entry in index["exercises"]:
        for name in ("slug", "title", "plain", *FIELDS):
            value = demo.views.rows[entry["slug"]][name]
            assert entry.get(name) == (list(value) if isinstance(value, tuple) else value)
    titles = [one["title"] for one in index["exercises"]]
    assert titles == sorted(titles, key=str.casefold)


def test_the_demos_index_is_small(demo_site: Path) -> None:
    """About 400 bytes gzipped an exercise are what pages may load."""
    data = (demo_site / "assets/handbook/index.json").read_bytes()
    count = len(json.loads(data)["exercises"])
    assert count >= 50
    assert len(gzip.compress(data)) <= 400 * count


def test_nothing_in_a_label_ends_the_script_element() -> None:
    data = page_data(LADDER, chorus("</script><b>"))
    assert "<" not in data
    assert json.loads(data)["voices"]["alto"]["label"] == "</script><b>"
    form = own_range("exercises/a.md", chorus("</script><b>"), LADDER)
    assert form.count("</script>") == 1 and "<b>" not in form


def test_the_form_offers_notes_an_octave_beyond_the_chorus() -> None:
    form = own_range("exercises/a.md", chorus())
    assert 'data-lowest="40" data-highest="88"' in form
    assert 'data-index="../../assets/handbook/index.json"' in form
    extreme = own_range("exercises/a.md", chorus(limits="C0 to G9"))
    assert 'data-lowest="0" data-highest="127"' in extreme
