"""A warm-up for tired voices: lower keys, impact 3 at most, half-closed sounds (common
practice)."""

from __future__ import annotations

from checked import Checked
from chorus_handbook.warmups.tired_voices import IMPACT, make_gentler
from tonights import stock_of, tonight

NIGHT = ("at-the-mooring", "slipway", "eddies", "five-lanterns", "up-the-mast", "ropes-fast")


def test_keys_are_two_semitones_lower_where_they_can_be(demo: Checked) -> None:
    """Against the exercises' own keys in their files."""
    plan = tonight(demo, NIGHT)
    gentle = make_gentler(plan)
    keys = {plan.items[place].exercise: item.keys for place, item in gentle.items.items()}
    front = demo.book.exercises["slipway"].front
    assert (front.keys, keys["slipway"]) == ("Eb4 down to Bb3", "Db4 down to Bb3")
    front = demo.book.exercises["eddies"].front
    assert (front.keys, keys["eddies"]) == ("C4 up to E4", "C4 up to D4")
    assert keys["at-the-mooring"] is None  # it has no notes
    named = [plan.items[place].exercise for place in gentle.not_lower]
    assert "eddies" in named and "slipway" not in named and "at-the-mooring" not in named


def test_no_key_is_higher_and_no_voice_lower_than_is_good_for_it(demo: Checked) -> None:
    plan = tonight(demo, NIGHT)
    before, after = plan.order(plan.items), plan.order([*make_gentler(plan).items.values()])
    for one, other in zip(before.items, after.items, strict=True):
        if one.slug != other.slug:
            continue
        for voice, reach in before.voices.items():
            low = [key[voice].lowest for key in one.keys if voice in key]
            now = [key[voice].lowest for key in other.keys if voice in key]
            top = [key[voice].highest for key in one.keys if voice in key]
            assert not now or min(now) >= min(reach.low, *low)
            assert not now or max(key[voice].highest for key in other.keys) <= max(top)


def test_what_is_strong_is_swapped_for_something_gentler(demo: Checked) -> None:
    plan = tonight(demo, NIGHT)
    gentle = make_gentler(plan)
    assert [*gentle.swaps] == [4] and gentle.left_out == ()
    swap = gentle.swaps[4]
    assert swap.reasons[0].code in ("gentler", "half-closed")
    assert "range" in demo.book.exercises[swap.item.slug].front.goals
    assert all(item.impact <= IMPACT for item in plan.order([*gentle.items.values()]).items)


def test_or_left_out_if_there_is_nothing_gentler(demo: Checked) -> None:
    stock = {slug: one for slug, one in stock_of(demo).items() if slug in NIGHT}
    plan = tonight(demo, NIGHT, stock=stock)
    gentle = make_gentler(plan)
    assert (gentle.swaps, gentle.left_out) == ({}, (4,)) and 4 not in gentle.items
    alone = tonight(demo, ("up-the-mast",), stock=stock)
    assert [item.exercise for item in make_gentler(alone).items.values()] == ["up-the-mast"]


def test_more_is_sung_on_half_closed_sounds(demo: Checked) -> None:
    plan = tonight(demo, (*NIGHT, "ten-tin-tubs"))
    gentle = make_gentler(plan)
    named = {gentle.items[place].exercise: keys for place, keys in gentle.half_closed.items()}
    assert named["eddies"] == 2 and named["ropes-fast"] == 1  # half of three keys, and of one
    assert not {"at-the-mooring", "slipway", "ten-tin-tubs"} & {*named}  # silent, a trill, words


def test_a_gentle_warm_up_is_made_gentler_only_once(demo: Checked) -> None:
    """Whoever taps twice loses nothing: what is sung again is lower by no more than it can be."""
    plan = tonight(demo, ("at-the-mooring",))
    gentle = make_gentler(plan)
    assert [*gentle.items.values()] == [*plan.items]
    assert not gentle.swaps and not gentle.half_closed and not gentle.not_lower
