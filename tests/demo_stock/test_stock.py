"""The demo stock is the proof of the format: everything that can be written occurs in it, and
every way through it leads on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import get_args

import pytest

from checked import Checked
from chorus_handbook import pipeline
from chorus_handbook.entries.model import Entry, Moment, Motion
from chorus_handbook.pages.page import Page

HALF_CLOSED = {"hum", "ng", "buzz", "lip-trill", "tongue-trill", "straw"}
#: What a chorus needs of each kind, and how an exercise of that kind is known.
KINDS: dict[str, tuple[int, Callable[[Entry], bool]]] = {
    "body and alignment": (4, lambda e: "alignment" in e.front.goals and e.front.impact == 1),
    "breath": (4, lambda e: e.front.sounding in {"breath", "hiss"}),
    "half-closed sounds": (6, lambda e: e.front.sounding in HALF_CLOSED),
    "face, jaw and tongue": (
        3,
        lambda e: "release" in e.front.goals and bool({"jaw", "touch-face"} & bring(e)),
    ),
    "speech and rhythm": (3, lambda e: e.front.sounding == "speech"),
    "resonance": (4, lambda e: "resonance" in e.front.goals),
    "vowels": (3, lambda e: "vowels" in e.front.goals and e.front.impact > 1),
    "articulation": (2, lambda e: "diction" in e.front.goals and e.front.impact > 2),
    "range": (4, lambda e: "range" in e.front.goals),
    "agility": (2, lambda e: "agility" in e.front.goals),
    "ear and tuning": (4, lambda e: "tuning" in e.front.goals),
    "harmony": (6, lambda e: "harmony" in e.front.goals),
    "unifying closers": (
        3,
        lambda e: (
            e.front.moment == "closing" and bool({"blend", "together", "tuning"} & {*e.front.goals})
        ),
    ),
}


def bring(entry: Entry) -> set[str]:
    """What an exercise states of care and movement."""
    return {*entry.front.cautions, *entry.front.actions}


def test_nothing_is_left_to_mend(demo: Checked) -> None:
    assert demo.problems == ()


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_there(stock: dict[str, Entry], kind: str) -> None:
    wanted, fits = KINDS[kind]
    found = [slug for slug, entry in stock.items() if fits(entry)]
    assert len(found) >= wanted, found


def test_every_impact_motion_formation_and_moment_occurs(
    demo: Checked, stock: dict[str, Entry]
) -> None:
    assert demo.config.vocabulary
    fronts = [entry.front for entry in stock.values()]
    assert {f.impact for f in fronts} == {1, 2, 3, 4, 5}
    # "mixed" is the want of a claim: it is measured where nothing else holds.
    assert {f.motion for f in fronts} >= {*get_args(Motion)} - {"mixed"}
    assert {f.formation for f in fronts} == {*demo.config.vocabulary.formations}
    assert {f.moment for f in fronts} == {*get_args(Moment)} - {"after"}  # nothing cools down yet


def test_every_notation_occurs(stock: dict[str, Entry]) -> None:
    kinds = Counter(e.source.notation.kind if e.source.notation else "" for e in stock.values())
    assert kinds["abc"] >= 3
    assert kinds["score"] >= 3
    assert kinds["degrees"] >= 20
    assert kinds[""] >= 8  # exercises without notation are first-class


def test_no_exercise_is_an_orphan_or_a_dead_end(stock: dict[str, Entry]) -> None:
    onward = {slug: {*e.front.related, *e.front.leads_to} - {slug} for slug, e in stock.items()}
    named = set[str]().union(*onward.values())
    assert set(stock) - named == set()
    assert [slug for slug, links in onward.items() if len(links) < 2] == []


def test_what_follows_builds_up(stock: dict[str, Entry]) -> None:
    """A warm-up goes from low impact to full singing, and ends by unifying (common practice): only
    what closes, or rests after the loudest, may be gentler than what it follows."""
    falls = [
        (slug, onward)
        for slug, entry in stock.items()
        for onward in entry.front.leads_to
        if stock[onward].front.impact < entry.front.impact
        and stock[onward].front.moment != "closing"
        and "closing" != entry.front.moment
        and entry.front.impact < 5
    ]
    assert falls == []


def test_every_goal_has_something_gentle_and_something_strong(
    demo: Checked, stock: dict[str, Entry]
) -> None:
    impacts = {
        goal: [stock[slug].front.impact for slug in members]
        for goal, members in demo.views.by_goal.items()
    }
    assert demo.config.vocabulary
    assert set(impacts) == set(demo.config.vocabulary.goals)
    assert [goal for goal, found in impacts.items() if min(found) > 2 or max(found) < 4] == []


def test_harmony_is_sung_and_unison_has_a_pitch(demo: Checked, stock: dict[str, Entry]) -> None:
    members = {view.slug: view.members for view in demo.views.saved}
    assert "loading-the-hold" not in members["harmony-builders"]
    assert "steam-launch" not in members["in-unison"]
    unsung = {"speech", "silent", "breath", "hiss", "body-sound"}
    for slug in (*members["harmony-builders"], *members["in-unison"], *members["close-harmony"]):
        assert stock[slug].front.sounding not in unsung, slug


def test_every_exercise_stands_in_some_view(demo: Checked, stock: dict[str, Entry]) -> None:
    listed = {slug for view in demo.views.saved for slug in view.members}
    assert set(stock) - listed == set()


def test_the_glossary_is_reached_from_home_and_menu(demo: Checked) -> None:
    site = pipeline.draw(demo.book, demo.cache).site
    assert site
    assert ("Glossary", "glossary.md") in site.menu
    home: Page = next(page for page in site.pages if page.path == "index.md")
    assert 'href="glossary/"' in home.content
    assert 'href="voice-care/"' in home.content
