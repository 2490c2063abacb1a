"""The sets for other choruses: each is small, whole, and in tune with its own chorus.yml."""

from __future__ import annotations

from pathlib import Path

import pytest

from checked import Checked
from chorus_handbook.claims.steps import LEAST, MOST
from chorus_handbook.entries.steps import read_steps
from sounding_chords import heard
from starter_sets import SETS, STARTERS, starter_set

#: Seconds that a child's phrase lasts at most: common practice, half of what children of seven to
#: nine held a vowel for (7.9 s, Tavares and others 2012, docs/sources.md).
CHILDS_PHRASE = 4.0
#: What an exercise means to sound on a beat and music21 does not call consonant.
MEANT = {
    "four-storeys": {"dominant seventh chord"},
    "four-in-a-frame": {"dominant seventh chord"},
    "over-the-fence": {"major triad"},
    # The floor stays, and what stands on it moves by a step.
    "three-lines-one-step": {"major triad"},
    "one-note-part": {"Perfect Fourth", "major triad"},
    "soup-pot": {"Perfect Fourth"},
}


@pytest.fixture(scope="module", params=SETS)
def handbook(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Checked:
    return starter_set(request.param, tmp_path_factory.mktemp(request.param))


def test_there_is_one_for_each_chorus_that_the_demo_does_not_serve() -> None:
    assert SETS == [
        *("changing-voices", "children", "close-harmony", "lower-voices", "upper-voices"),
    ]
    assert {path.name for path in STARTERS.iterdir()} >= {*SETS}


def test_nothing_is_left_to_fix(handbook: Checked) -> None:
    assert handbook.problems == ()


def test_it_is_small_and_says_what_a_planner_asks(handbook: Checked) -> None:
    entries = handbook.entries.entries
    assert 3 <= len(entries) <= 6
    for entry in entries:
        for name in ("plain", "level", "known", "moment", "formation", "also_called", "related"):
            assert getattr(entry.front, name), (entry.slug, name)
        total = sum(step.seconds or 0 for step in read_steps(entry.source))
        assert LEAST * 60 * entry.front.minutes <= total <= MOST * 60 * entry.front.minutes
        facts = handbook.facts.get(entry.slug)
        if facts:
            assert facts.length_seconds <= total, entry.slug
            assert entry.front.level == facts.difficulty.level, entry.slug


def test_everything_leads_on(handbook: Checked) -> None:
    fronts = {entry.slug: entry.front for entry in handbook.entries.entries}
    named = {slug for front in fronts.values() for slug in (*front.related, *front.leads_to)}
    assert named == {*fronts}


def test_every_chord_is_consonant_or_meant(handbook: Checked) -> None:
    for slug, facts in handbook.facts.items():
        if facts.parts > 1:
            chords = [sound for _, sound in heard(handbook.scores[slug], facts.keys[0])]
            rubs = {sound.commonName for sound in chords if not sound.isConsonant()}
            assert rubs <= MEANT.get(slug, set()), slug
            assert chords[-1].isConsonant(), slug


def test_children_sing_short_phrases_and_nothing_strong(tmp_path: Path) -> None:
    children = starter_set("children", tmp_path)
    assert all(entry.front.impact <= 3 for entry in children.entries.entries)
    for slug, facts in children.facts.items():
        for voice in facts.voices:
            assert voice.longest_phrase_seconds <= CHILDS_PHRASE, (slug, voice.voice)
