"""The demo stock is the proof of the format: everything that can be written occurs in it, and
every way through it leads on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import pytest

from checked import Checked
from chorus_handbook.entries.model import Entry, Moment, Motion

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
    assert {f.moment for f in fronts} == {*get_args(Moment)}


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
    what closes, comes after singing, or rests after the loudest may be gentler than what it
    follows."""
    falls = [
        (slug, onward)
        for slug, entry in stock.items()
        for onward in entry.front.leads_to
        if stock[onward].front.impact < entry.front.impact
        and stock[onward].front.moment not in {"closing", "after"}
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
    assert [goal for goal, found in impacts.items() if min(found) > 2] == []
    weak = [goal for goal, found in impacts.items() if max(found) < 4]
    # Light singing, time and reading ask for no strength.
    assert weak == ["head-voice", "rhythm", "reading"]


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


def test_no_list_is_too_short_or_too_long_to_choose_from(demo: Checked) -> None:
    """Four at least, or it is no choice; 25 at most, or it is the stock again (our choice)."""
    sizes = {view.slug: len(view.members) for view in demo.views.saved}
    assert {slug: size for slug, size in sizes.items() if not 4 <= size <= 25} == {}


def test_the_twenty_for_every_week_make_whole_evenings(
    demo: Checked, stock: dict[str, Entry]
) -> None:
    (view,) = (view for view in demo.views.saved if view.slug == "everyday")
    fronts = [stock[slug].front for slug in view.members]
    assert len(fronts) == 20
    assert {front.moment for front in fronts} == {*get_args(Moment)}
    assert all((front.level or 0) < 3 and front.impact < 5 for front in fronts)
    formations, goals = {front.formation for front in fronts}, [{*f.goals} for f in fronts]
    assert len(formations) >= 5
    for goal in ("alignment", "breath-flow", "resonance", "vowels", "diction", "range", "tuning"):
        assert any(goal in of_one for of_one in goals), goal


#: What a chorus reaches for every week, and how much of it there is at least.
ENOUGH: dict[str, tuple[int, Callable[[Entry], bool]]] = {
    "exercises": (80, lambda _: True),
    "cool-downs": (6, lambda e: e.front.moment == "after"),
    "a minute or less": (8, lambda e: e.front.known is not None and e.front.known <= 1),
    "rounds": (5, lambda e: e.front.round is not None),
    "rhythm": (5, lambda e: "rhythm" in e.front.goals),
    "reading": (3, lambda e: "reading" in e.front.goals),
    "dynamics": (3, lambda e: "dynamics" in e.front.goals),
    "languages": (3, lambda e: bool({"latin", "german", "french"} & {*e.front.also_called})),
    "head voice": (4, lambda e: "head-voice" in e.front.goals),
    "energy": (3, lambda e: "energy" in e.front.goals),
}


@pytest.mark.parametrize("kind", ENOUGH)
def test_the_stock_serves_all_year(stock: dict[str, Entry], kind: str) -> None:
    wanted, fits = ENOUGH[kind]
    found = [slug for slug, entry in stock.items() if fits(entry)]
    assert len(found) >= wanted, found


def test_every_exercise_states_what_a_planner_asks(stock: dict[str, Entry]) -> None:
    fronts = {slug: entry.front for slug, entry in stock.items()}
    for name in ("plain", "level", "known", "moment", "formation", "cue", "also_called"):
        assert [slug for slug, front in fronts.items() if not getattr(front, name)] == [], name


def test_the_glossary_is_reached_from_home_and_menu(demo_site: Path) -> None:
    frame, _, home = (demo_site / "index.html").read_text("utf-8").partition("<article")
    assert '<a href="glossary/" class="md-nav__link">' in frame
    assert 'href="glossary/"' in home
    assert 'href="voice-care/"' in home
