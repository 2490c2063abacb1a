"""What someone needs who runs an exercise of the demo at short notice: what it is, how soon it is
learned, how long it takes, and steps that can be timed."""

from __future__ import annotations

from fractions import Fraction
from xml.etree import ElementTree

import markdown
import pytest
from music21 import scale

from checked import Checked
from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.claims.steps import LEAST, MOST
from chorus_handbook.entries.model import Entry
from chorus_handbook.entries.steps import read_steps
from chorus_handbook.music.learning import known_minutes
from chorus_handbook.music.measure import sounding_pitches

#: Exercises that take longer to learn than their notes show, each with the reason.
HARDER = {
    "knocking-on-the-hull": "the bars of the echo are then joined to a chain and clapped in canon",
}


def test_every_exercise_says_what_it_is(stock: dict[str, Entry]) -> None:
    names = {slug: entry.front.plain for slug, entry in stock.items()}
    assert [slug for slug, plain in names.items() if not plain] == []
    once = {comparable(plain) for plain in names.values() if plain}
    titles = {comparable(entry.front.title) for entry in stock.values()}
    assert len(once) == len(stock)
    assert not once & titles


def test_plain_names_are_plain(stock: dict[str, Entry]) -> None:
    """No word of the sea that the stock is named after, which is where a reader has to guess."""
    sea = set(
        "anchor boat boats bay berth buoy deck ferry fog gull gulls harbour hatch lamp lanterns"
        " lock mast mooring oars oyster pier quay sail sea ship tide tiller waves wind".split()
    )
    for slug, entry in stock.items():
        assert not sea & {*(entry.front.plain or "").casefold().split()}, slug


def test_levels_are_as_measured(demo: Checked, stock: dict[str, Entry]) -> None:
    levels = {slug: entry.front.level for slug, entry in stock.items()}
    assert [slug for slug, level in levels.items() if level is None] == []
    higher = {
        slug: (levels[slug], facts.difficulty.features)
        for slug, facts in demo.facts.items()
        if levels[slug] != facts.difficulty.level
    }
    assert {*higher} == {*HARDER}, higher


def test_there_is_something_of_every_level(stock: dict[str, Entry]) -> None:
    # common practice: most of a warm-up is known or learned at once
    levels = [entry.front.level for entry in stock.values()]
    assert levels.count(1) > levels.count(2) > levels.count(3) >= 5


@pytest.mark.parametrize("words", [1, 2, 3])
def test_no_level_is_only_loud(stock: dict[str, Entry], words: int) -> None:
    """Level is no other word for impact."""
    impacts = {e.front.impact for e in stock.values() if e.front.level == words}
    assert {2, 3, 4} <= impacts or words == 3


def test_every_step_is_timed_and_the_sum_fits(demo: Checked, stock: dict[str, Entry]) -> None:
    for slug, entry in stock.items():
        steps = read_steps(entry.source)
        times = [step.seconds for step in steps if step.seconds]
        assert 3 <= len(times) == len(steps), slug
        total, minutes = sum(times), entry.front.minutes
        assert LEAST * 60 * minutes <= total <= MOST * 60 * minutes, slug
        facts = demo.facts.get(slug)
        assert facts is None or facts.length_seconds <= total, slug  # all keys fit into the steps


SECONDS = {"s": 1, "min": 60}


def test_step_times_are_those_of_an_independent_reading(stock: dict[str, Entry]) -> None:
    """The numbered list as Python-Markdown makes it, and its times word by word."""
    for slug, entry in stock.items():
        text = entry.source.text.split("## How to run it\n")[1].split("\n## ")[0]
        html = ElementTree.fromstring(f"<div>{markdown.markdown(text)}</div>")
        times = []
        for item in html.findall("ol/li"):
            words = "".join(item.itertext()).strip().removeprefix("(").partition(")")[0].split()
            pairs = zip(words[::2], words[1::2], strict=True)
            times.append(sum(Fraction(count) * SECONDS[unit] for count, unit in pairs))
        assert times == [step.seconds for step in read_steps(entry.source)], slug


#: Scales of music21 for the modes that are learned at once, with the raised 6 and 7 of minor.
AT_ONCE = {
    "major": [scale.MajorScale],
    "minor": [scale.MinorScale, scale.MelodicMinorScale],
}


def test_notes_foreign_to_the_key_are_those_of_music21(demo: Checked) -> None:
    for slug, facts in demo.facts.items():
        score, tonic = demo.scores[slug], facts.keys[0]
        sung = {
            pitch.midi % 12
            for part in score.parts
            for note in part.sung
            for pitch in sounding_pitches(note, part, tonic, score.mode)
        }
        known = {
            pitch.pitchClass
            for kind in AT_ONCE.get(facts.mode, [])
            for pitch in kind(str(tonic)[:-1].replace("b", "-")).getPitches("C2", "C6")
        }
        assert (facts.difficulty.key == 1) == (sung <= known), slug


def test_what_is_known_takes_less(demo: Checked, stock: dict[str, Entry]) -> None:
    known = {slug: known_minutes(e.front, demo.facts.get(slug)) for slug, e in stock.items()}
    longer = [slug for slug, entry in stock.items() if known[slug] > entry.front.minutes]
    same = [slug for slug, entry in stock.items() if known[slug] == entry.front.minutes]
    assert longer == []
    assert same == []
