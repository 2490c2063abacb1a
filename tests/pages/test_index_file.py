"""index.json: what pages load, small, and the data that a page carries."""

from __future__ import annotations

import gzip
import json
from pathlib import Path

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.pages.index_file import VERSION, index_json, page_data
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.records.published import index_entry

LADDER = {
    "keys": ["C4", "Db4"],
    "tonics": [60, 61],
    "may_change_octave": False,
    "voices": {"alto": {"lowest": 60, "highest": 67, "held_lowest": None, "held_highest": None}},
}


def chorus(label: str = "Alto", limits: str = "E3 to E5") -> Chorus:
    voice = {"label": label, "clef": "treble", "comfortable": "G3 to C5", "limits": limits}
    return Chorus.model_validate({"name": "Test", "voices": {"alto": voice}})


def front(title: str, plain: str | None = None) -> FrontMatter:
    fields = {"summary": "A slope.", "goals": ["resonance"], "impact": 3, "sounding": "hum"}
    return FrontMatter.model_validate({"title": title, "plain": plain, "minutes": 3, **fields})


def test_what_the_index_says_and_in_which_order() -> None:
    listed = {
        "b": index_entry("b", front("B"), LADDER),
        "a": index_entry("a", front("À", "Hum"), None),
    }
    found = json.loads(index_json(listed, chorus()))
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
        "exercises": [
            {"slug": "a", "title": "À", "plain": "Hum"},
            {"slug": "b", "title": "B", "ladder": LADDER},
        ],
    }


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
