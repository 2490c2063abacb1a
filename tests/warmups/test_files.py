"""The files of warm-ups and routines: what may stand in them, and the guide to them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from chorus_handbook.chorus import ChorusConfig, read_chorus_config
from chorus_handbook.entries.files import ContentFile
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import EXERCISE, Entries
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import (
    ROUTINE,
    WARM_UP,
    RoutineFields,
    RoutineItem,
    WarmUpFields,
    WarmUpItem,
    dated_name,
    read_clock,
    read_there,
)
from chorus_handbook.records import Exercise
from chorus_handbook.records.making import make_record
from chorus_handbook.warmups import check_warm_ups

PROJECT = Path(__file__).parents[2]
GUIDE = (PROJECT / "docs" / "writing" / "warm-ups.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```markdown\n(.*?)^```$", GUIDE, re.MULTILINE | re.DOTALL)


def measured(text: str, config: ChorusConfig) -> dict[str, Exercise]:
    """The demo's exercises that a text names."""
    root, found = PROJECT / "handbook", {}
    for slug in set(re.findall(r"exercise: (\S+)", text)):
        path = root / EXERCISE.page(slug)
        record = make_record(ContentFile(path, EXERCISE, slug, EXERCISE.page(slug)), config, root)
        assert isinstance(record.content, Exercise)
        found[slug] = record.content
    return found


@pytest.mark.parametrize(
    ("kind", "text", "slug"),
    [
        (WARM_UP, EXAMPLES[0], "2026-09-03-back-on-the-quay"),
        (ROUTINE, EXAMPLES[1], "four-in-a-stairwell"),
    ],
)
def test_the_examples_of_the_guide_are_right(
    kind: Kind[WarmUpFields], text: str, slug: str
) -> None:
    config, _ = read_chorus_config(PROJECT / "handbook")
    _, written, _, problems = read_written(kind, text, slug, f"handbook/{kind.page(slug)}")
    assert written is not None and problems == []
    stock = measured(text, config)
    entries = Entries(entries=tuple(e.entry for e in stock.values()), slugs=frozenset(stock))
    assert check_warm_ups([written], stock, entries, config) == []


@pytest.mark.parametrize("model", [WarmUpFields, WarmUpItem, RoutineFields, RoutineItem])
def test_the_guide_names_every_field(model: type[WarmUpFields]) -> None:
    assert [name for name in model.model_fields if f"`{name}`" not in GUIDE] == []


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("2026-09-03-first-night", "2026-09-03-first-night"),
        ("First night 2026-09-03", "2026-09-03-first-night"),
        ("2026-09-03", "2026-09-03-warm-up"),
        ("2026-09-03-7-sharp", "2026-09-03-sharp"),
        ("monday", "2026-09-03-monday"),
    ],
)
def test_a_file_is_named_by_its_date(text: str, name: str) -> None:
    assert dated_name(text) == name and dated_name(name) == name


@pytest.mark.parametrize(("text", "minutes"), [("0:00", 0), ("07:05", 425), ("23:59", 1439)])
def test_a_time_of_day(text: str, minutes: int) -> None:
    assert read_clock(text) == minutes


@pytest.mark.parametrize("text", ["24:00", "7:5", "7.30 pm", "19:60", "", "19:30:00", "-1:00"])
def test_what_is_no_time_of_day(text: str) -> None:
    with pytest.raises(ValueError, match="cannot be read as a time of day"):
        read_clock(text)


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("from 19:40", (1180, None)),
        ("until 19:55", (None, 1195)),
        ("from 19:40 until 19:55", (1180, 1195)),
    ],
)
def test_when_a_voice_is_there(text: str, there: tuple[int | None, int | None]) -> None:
    assert read_there(text) == there


@pytest.mark.parametrize("text", ["", "late", "19:40", "from 19:40 19:55", "from 25:00"])
def test_what_does_not_say_when_a_voice_is_there(text: str) -> None:
    with pytest.raises(ValueError, match=r"cannot be read as (a time of day|the time when)"):
        read_there(text)
