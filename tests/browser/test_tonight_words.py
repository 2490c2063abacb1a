"""What is said of an evening on which voices are tired: only what is sung, and with each item."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from browser.test_tonight_rules import given
from checked import Checked
from chorus_handbook.warmups.rotation import Log
from tonights import tonight

CHANGED = """({changeFor}, [{plan, planning, choice}]) => {
  const {plan: sung, places, told} = changeFor(plan, planning, choice);
  const again = changeFor(sung, planning, {late: 0, voices: choice.voices});
  return {items: sung.items, places, told, again: again.plan.items};
}"""
#: Body, hum, scale in three keys, scale with words of its own, and a chord in one key.
NIGHT = (
    "at-the-mooring",
    "harbour-fog",
    {"exercise": "eddies", "if_time": 1},
    {"exercise": "five-lanterns", "variation": "x" * 110, "note": "Slowly."},
    "up-the-mast",
    {"exercise": "handing-on-the-lamp", "keys": "Eb4"},
)


def changed(
    evaluate: Callable[[str, str, object], Any], demo: Checked, late: int, voices: str
) -> dict[str, Any]:
    plan = tonight(demo, NIGHT, Log({}, ()))
    data = given([plan], demo, choice={"late": late, "voices": voices})
    result: dict[str, Any] = evaluate("tonight_panel.js", CHANGED, data)
    return result


def test_each_item_says_what_to_do_about_tired_voices(
    evaluate: Callable[[str, str, object], Any], demo: Checked
) -> None:
    made = changed(evaluate, demo, 0, "tired")
    body, hum, scale, worded, octaves, chord = made["items"]
    assert body["note"] == "Sing softly tonight; whoever is hoarse only listens."
    assert "variation" not in body and hum["variation"] == "Softly."
    assert scale["variation"] == "Softly. On a hum, a trill or a straw in the first 2 keys."
    assert worded["variation"] == "x" * 110  # more has no room there
    assert worded["note"].startswith("Softly. On a hum") and worded["note"].endswith("Slowly.")
    assert octaves["exercise"] != "up-the-mast"
    assert chord["variation"] == "Softly. First once on a hum, a trill or a straw."
    assert made["again"][0] == body and made["again"][1]["variation"] == "Softly."
    colds = changed(evaluate, demo, 0, "colds")["items"]
    assert colds[0]["note"].startswith("Whoever has a cold") and "variation" not in colds[1]


def test_only_what_is_sung_is_spoken_of(
    evaluate: Callable[[str, str, object], Any], demo: Checked
) -> None:
    """Late and tired together: what is left out is named once, as it was planned."""
    for late in (3, 5, 8, 11):
        made = changed(evaluate, demo, late, "tired")
        gone = {*range(len(NIGHT))} - {*made["places"]}
        assert gone
        others = [one for one in made["told"] if not one.startswith("Left out: ")]
        (left_out,) = [one for one in made["told"] if one.startswith("Left out: ")]
        names = left_out.removeprefix("Left out: ").removesuffix(".").split("; ")
        assert [int(name[0]) - 1 for name in names] == sorted(gone)
        assert not any(name in one for name in names for one in others), others
        planned = {"3 Quick turns", "4 Five vowels", "5 Wide broken", "2 Slow tune"}
        assert all(any(name.startswith(one) for one in planned) for name in names)
