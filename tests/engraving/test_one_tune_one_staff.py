"""One tune on one staff: how many staves the demo's drawings have, and where a browser shows the
words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from checked import Checked
from chorus_handbook.engraving.engine import draw
from chorus_handbook.engraving.engraved import Drawable, sprite
from chorus_handbook.engraving.exercise import engrave_in_keys
from chorus_handbook.engraving.layouts import KeyLayouts, ScoreLayouts

HANDBOOK = Path(__file__).parents[2] / "handbook"
#: Staves and lines of a staff in some of the demo's exercises, counted from their notation: every
#: tune once, the leader's apart, speech on one line.
STAVES = {
    "five-lanterns": (1, 5),  # all
    "eddies": (1, 5),  # all
    "fog-signal": (2, 5),  # upper, lower
    "handing-on-the-lamp": (4, 5),  # each voice for itself
    "roll-call": (2, 1),  # leader, all
}
_LEVEL = re.compile(r"M[-\d.]+ ([-\d.]+)h([\d.]+)")


@pytest.mark.parametrize("slug", STAVES)
def test_there_is_a_staff_for_each_tune(slug: str, demo: Checked) -> None:
    chorus, score = demo.config.chorus, demo.scores[slug]
    assert chorus is not None
    layouts = KeyLayouts(ScoreLayouts(score, chorus), demo.facts[slug].keys[0], draw)
    for drawing in (layouts.wide(), layouts.narrow() or layouts.wide()):
        systems = len({system for system, _, _ in drawing.svg.measures})
        # the lines of staves are the longest level strokes that do not belong to a word
        strokes = re.findall(r'<path stroke="[^>]*stroke-width="13" d="([^"]*)"', drawing.svg.body)
        tops = {y for path in strokes for y, run in _LEVEL.findall(path) if float(run) > 1500}
        staves, lines = STAVES[slug]
        assert len(tops) == staves * lines * systems


#: The left, right, top and bottom of each word and of each note head, in units of the drawing.
BOXES = """() => {
  const box = (e) => { const b = e.getBBox(); return [b.x, b.x + b.width, b.y, b.y + b.height]; };
  const svg = document.querySelector("svg[role=img]");
  return {
    words: [...svg.querySelectorAll("text")].map((text) => [text.textContent, box(text)]),
    heads: Object.fromEntries([...svg.querySelectorAll("g[id]")]
      .map((note) => [note.id, box(note.querySelector("use"))])),
  };
}"""


def test_all_passes_stand_once_below_their_notes(demo: Checked, chromium: Browser) -> None:
    """*Five lanterns* has five lines of words, where three staves had fifteen; *Sea wall* has a
    word for every note."""
    page = chromium.new_page()
    chorus = demo.config.chorus
    assert chorus is not None
    boxes = {}
    for slug in ("five-lanterns", "sea-wall"):
        key = demo.facts[slug].keys[:1]
        (drawn,) = engrave_in_keys(Drawable(slug, slug, demo.scores[slug], chorus, key))
        page.set_content(f"<!doctype html><body>{sprite(drawn.symbols)}{drawn.wide}")
        boxes[slug] = page.evaluate(BOXES)
    page.close()
    for slug, count, words in (
        ("five-lanterns", 7, {1: "mee meh mah moh moo".split()}),
        ("sea-wall", 14, {1: ["O"], 2: ["pen"], 3: ["wa"], 4: ["ter,"], 8: ["wind"]}),
    ):
        heads = boxes[slug]["heads"]
        assert set(heads) == {f"soprano-{n}" for n in range(1, count + 1)}
        found = dict(boxes[slug]["words"])
        assert len(found) == len(boxes[slug]["words"])  # none is printed twice
        for n, syllables in words.items():
            left, right, _, bottom = heads[f"soprano-{n}"]
            tops = [found[syllable][2] for syllable in syllables]
            assert tops == sorted(set(tops))  # one below the other
            for syllable in syllables:
                start, end, _, low = found[syllable]
                assert start <= (left + right) / 2 <= end
                assert low > bottom
