"""Swaps for an item: what may take its place, and the reasons for it (common practice)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from chorus_handbook.pages.swap_words import reason_words
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.swaps import MOST, Candidate, Reason, Swap, Wish, swaps
from running_orders import ARPEGGIO, BLEND, BODY, CALL, CHORD, TRILL, UNISON, order, sings

#: The item that is swapped: a scale for vowels, in the middle of a good order.
OWN = replace(
    *(UNISON,),
    slug="own",
    title="Own",
    main_goal="vowels",
    level=2,
    status="settling",
    keys=sings(62, 69),
)
ITEMS = [BODY, TRILL, OWN, ARPEGGIO, CHORD]
PLACE = 2


def other(slug: str = "other", goals: tuple[str, ...] = ("vowels",), **fields: Any) -> Candidate:
    """A candidate that differs from the item in these fields only."""
    names = ("moment", "seated", "quick", "outings", "rested")
    more = {name: fields.pop(name) for name in names if name in fields}
    item = replace(OWN, slug=slug, title=slug.title(), main_goal=goals[0], **fields)
    return Candidate(item, goals, **more)


def found(*others: Candidate, wish: Wish | None = None, own: Candidate | None = None) -> list[Swap]:
    return swaps(order(*ITEMS), PLACE, own or Candidate(OWN, ("vowels",)), others, wish)


def reasons(one: Candidate, wish: Wish | None = None) -> list[Reason]:
    """The reasons for the only candidate."""
    (swap,) = found(one, wish=wish)
    return [*swap.reasons]


def test_a_swap_has_the_same_main_goal_among_its_own() -> None:
    assert [swap.item.slug for swap in found(other(), other("also", ("blend", "vowels")))] == [
        *("other", "also")
    ]
    assert not found(other(goals=("range",)))


@pytest.mark.parametrize(
    "fields",
    [
        {"impact": 5, "singing": 30 * SECOND, "sound": 40 * SECOND},
        {"moment": "opening"},
        {"moment": "after"},
        {"keys": ({},), "unsung_key": "C4"},
        {"keys": ({"alto": sings(60, 62)[0]["soprano"]},)},
        {"length": 30 * MINUTE},
    ],
    ids=["far", "opening", "after", "unsung", "others", "long"],
)
def test_what_cannot_take_the_place(fields: dict[str, Any]) -> None:
    assert not found(other(**fields))


def test_quiet_sound_gives_way_to_quiet_sound_until_something_louder_is_sung() -> None:
    trill = replace(TRILL, slug="own", main_goal="vowels", keys=sings(62, 69))
    own = Candidate(trill, ("vowels",))
    others = [other("open"), other("hum", half_closed=True), other("soft", impact=2)]
    for place in (1, 2):
        items = [BODY, UNISON, ARPEGGIO, CHORD]
        items.insert(place, trill)
        slugs = {one.item.slug for one in swaps(order(*items), place, own, others)}
        assert slugs == ({"hum", "soft"} if place == 1 else {"open", "hum", "soft"})
    assert found(*others[:2]) != []  # in the place of an open scale both will do


def test_what_is_sung_gives_way_to_what_is_sung() -> None:
    trill = replace(TRILL, slug="own", main_goal="vowels", keys=sings(62, 69))
    items, own = [BODY, TRILL, trill, UNISON, CHORD], Candidate(trill, ("vowels",))
    silent = Candidate(replace(BODY, slug="silent", main_goal="vowels"), ("vowels",))
    assert swaps(order(*items), 2, own, [silent]) == []
    assert swaps(order(*items), 2, own, [silent], "gentler")


def test_the_end_and_a_later_block_get_no_stronger() -> None:
    closing = replace(BLEND, slug="own", main_goal="blend")
    own = Candidate(closing, ("blend",))
    strong = Candidate(replace(closing, slug="strong", impact=4), ("blend",))
    assert swaps(order(BODY, TRILL, UNISON, closing, CHORD), 3, own, [strong])
    assert not swaps(order(BODY, TRILL, UNISON, closing), 3, own, [strong])
    again = replace(BODY, slug="again", at=80 * MINUTE)
    later = order(BODY, TRILL, UNISON, CHORD, again, closing, TRILL)
    assert not swaps(later, 5, own, [strong])


def test_a_swap_leads_into_the_music_and_leaves_it_its_calm() -> None:
    music, both = frozenset({"blend"}), ("vowels", "blend")
    serving, other_ = other("serving", both), other("other")
    own = Candidate(OWN, both)

    def slugs(place: int, *others: Candidate, calm: bool = True, own: Candidate = own) -> list[str]:
        items = [BODY, TRILL, UNISON, UNISON]
        items.insert(place, own.item)
        evening = order(*items, music=music, calm=calm)
        return [one.item.slug for one in swaps(evening, place, own, others)]

    assert slugs(2, other_, serving) == ["serving", "other"]
    assert slugs(3, other_, serving) == ["serving"]  # the last but one
    assert slugs(3, other_, own=Candidate(OWN, ("vowels",))) == ["other"]
    quick = other("quick", both, quick=True)
    assert slugs(2, quick) == []
    assert slugs(2, quick, calm=False) == ["quick"]
    assert slugs(2, quick, own=Candidate(OWN, both, quick=True)) == ["quick"]
    standing = replace(BODY, slug="standing", main_goal="vowels")
    clapped = Candidate(replace(standing, slug="clapped"), both, quick=True)
    evening = order(standing, *ITEMS[1:], music=music, calm=True)
    assert swaps(evening, 0, Candidate(standing, both), [clapped])  # it needs no voice
    (swap,) = swaps(order(*ITEMS, music=music, calm=True), PLACE, own, [serving])
    assert swap.reasons == (Reason("music"), Reason("goal"))


def test_what_is_planned_already_is_no_swap() -> None:
    assert not found(other(BODY.slug))


def test_no_swap_brings_a_notice_that_was_not_there() -> None:
    """An octave leap at impact 3, before two minutes of singing (`leaps`)."""
    early = replace(ITEMS[1], singing=0)
    leaping = other(leap=12)
    own = Candidate(OWN, ("vowels",))
    assert found(leaping) == []
    assert swaps(order(BODY, TRILL, UNISON, OWN, CHORD), 3, own, [leaping])
    assert swaps(order(BODY, early, replace(OWN, leap=12), CHORD), PLACE, own, [leaping])


def test_an_order_that_runs_over_gets_no_longer() -> None:
    over = order(*ITEMS, allowed=5 * MINUTE)
    own = Candidate(OWN, ("vowels",))
    assert swaps(over, PLACE, own, [other()])
    assert not swaps(over, PLACE, own, [other(length=OWN.length + 1)])


def test_a_closer_that_unites_is_swapped_for_one_that_unites() -> None:
    closing = replace(BLEND, slug="own", main_goal="blend")
    items, own = [BODY, TRILL, UNISON, closing], Candidate(closing, ("blend",))
    unites = Candidate(replace(closing, slug="one"), ("blend",), moment="closing")
    alone = Candidate(replace(closing, slug="two", unites=False), ("blend",))
    assert [one.item.slug for one in swaps(order(*items), 3, own, [alone, unites])] == ["one"]


def test_the_two_strongest_reasons_are_given() -> None:
    assert reasons(other()) == [("goal", 0), ("time", OWN.length)]
    assert reasons(other(impact=2, half_closed=True)) == [("goal", 0), ("gentler", 2)]
    assert reasons(other(rested=63, outings=5)) == [("rested", 9), ("goal", 0)]
    assert reasons(other(status="settling", outings=1)) == [("second", 0), ("goal", 0)]
    assert reasons(other(status="known", level=2)) == [("goal", 0), ("easier", 1)]
    assert reasons(other(status="known", level=3)) == [("goal", 0), ("known", 0)]
    assert reasons(other(goals=("blend", "vowels"), level=1)) == [("easier", 1), ("also-goal", 0)]


@pytest.mark.parametrize(
    ("wish", "fields", "number"),
    [
        ("easier", {"level": 1}, 1),
        ("shorter", {"length": OWN.length - 30}, 30),
        ("seated", {"seated": True}, 0),
        ("without", {}, 0),
        ("gentler", {"impact": 2}, 2),
        ("rested", {"rested": 28}, 4),
    ],
)
def test_a_wish_is_granted_and_named_first(wish: Wish, fields: Any, number: int) -> None:
    assert reasons(other(**fields), wish)[0] == (wish, number)
    granted = {one.reasons[0].code for one in found(other("a", **fields), other("b"), wish=wish)}
    assert granted == {wish}


def test_nothing_is_shown_for_a_wish_that_nothing_grants() -> None:
    same = other(parts=(frozenset({"alto"}),))
    for wish in ("easier", "shorter", "seated", "without", "gentler", "rested"):
        assert found(same, wish=wish) == []  # type: ignore[arg-type]
    assert found() == []


def test_gentler_may_mean_a_half_closed_sound() -> None:
    assert reasons(other(half_closed=True), "gentler")[0].code == "half-closed"
    strong = Candidate(replace(CALL, slug="own", main_goal="vowels"), ("vowels",))
    items = [BODY, TRILL, UNISON, UNISON, UNISON, strong.item, CHORD]
    lower = other(impact=3)
    assert not swaps(order(*items), 5, strong, [lower])
    assert swaps(order(*items), 5, strong, [lower], "gentler")


def test_the_best_come_first_and_they_are_few() -> None:
    many = [other(f"x{n}", length=OWN.length + 30 * n) for n in range(9)]
    assert [one.item.slug for one in found(*reversed(many))] == [f"x{n}" for n in range(MOST)]
    assert found(*many, other("zz", rested=70))[0].item.slug == "zz"


def test_what_is_new_comes_last_and_never_where_it_must_not() -> None:
    new = other("new", status="new", rested=None, half_closed=True, impact=2)
    assert [one.item.slug for one in found(new, other())] == ["other", "new"]
    assert not found(other("hard", status="new", level=3))
    own, concert = Candidate(OWN, ("vowels",)), order(*ITEMS, occasion="concert")
    assert swaps(concert, PLACE, own, [new, other()])[0].item.slug == "other"
    assert len(swaps(concert, PLACE, own, [new, other()])) == 1


def test_reasons_in_words() -> None:
    words = [
        reason_words(Reason("rested", 9), "Vowels"),
        reason_words(Reason("rested", 1), "Vowels"),
        reason_words(Reason("goal"), "Vowels"),
        reason_words(Reason("gentler", 2), "Vowels"),
        reason_words(Reason("easier", 1), "Vowels"),
        reason_words(Reason("without"), "Vowels", ["basses", "tenors"]),
        reason_words(Reason("shorter", 90), "Vowels"),
    ]
    assert words == [
        "not sung for 9 weeks",
        "not sung for 1 week",
        "also mainly for vowels",
        "gentler: 2 gentle",
        "quicker to learn: at once",
        "works without basses and tenors",
        "shorter by 45 s",
    ]
