"""Nothing lies on anything else in the demo's drawings, wide and narrow: no dynamic on the extender
line of the staff above, no fermata on a dynamic, no breath mark in a hairpin, no bar number on a
bracket, no word on a ledger line.

`BOXES=all` measures every exercise in every key, and writes what was found in each to the terminal.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from checked import Checked, checked
from collisions import Thing, collisions, counted, things
from shown import shown

EVERYTHING = os.environ.get("BOXES") == "all"
#: Parts, unison, a round, speech, triplets, and a file with two singers on a staff.
EXERCISES = (
    "herring-fleet",
    "high-water",
    "loading-the-hold",
    "slipway",
    "three-strands",
    "through-the-lock",
)
#: What is left to the engraver: a figure over a beam within the staff may stand on a staff line; in
#: a file from an editor, the breath of one singer meets the tie of the other.
KNOWN: Mapping[str, set[tuple[str, str]]] = {
    "slipway": {("staff line", "tuplet number")},
    "through-the-lock": {("breath", "tie")},
}
#: What would be read as one stands at least so far apart, in units of the drawing, of which a staff
#: is 720 high.
NEAR = 60
APART = (
    ("bar number", "bracket"),
    ("bar number", "clef"),
    ("breath", "hairpin"),
    ("direction", "hairpin"),
    ("dynamic", "extender"),
    ("dynamic", "fermata"),
    ("extender", "hairpin"),
    ("ledger line", "syllable"),
)


DEMO = Path(__file__).parent.parent.parent / "handbook"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Checked:
    """The demo, or these exercises of it alone, which are soon read."""
    if EVERYTHING:
        return checked(DEMO)
    root = tmp_path_factory.mktemp("collisions") / "handbook"
    (root / "exercises").mkdir(parents=True)
    for name in ("chorus.yml", "vocabulary.yml"):
        shutil.copy(DEMO / name, root)
    shutil.copytree(DEMO / "scores", root / "scores")
    for slug in EXERCISES:
        shutil.copy(DEMO / "exercises" / f"{slug}.md", root / "exercises")
    return checked(root)


def drawings(book: Checked, slug: str) -> list[list[Thing]]:
    """Everything that is drawn of an exercise, in its first, middle and last key, or in all."""
    keys = list(dict.fromkeys(book.facts[slug].keys))
    if not EVERYTHING:
        keys = list(dict.fromkeys((keys[0], keys[len(keys) // 2], keys[-1])))
    return [things(raw) for key in keys for raw in shown(book, slug, key, all_clefs=EVERYTHING)]


def test_nothing_lies_on_anything_else(book: Checked, capsys: pytest.CaptureFixture[str]) -> None:
    found: dict[str, Counter[tuple[str, str]]] = {}
    measured = Counter[str]()
    report: list[str] = []
    for slug in sorted(book.scores) if EVERYTHING else EXERCISES:
        everything = drawings(book, slug)
        measured.update(thing.kind for drawn in everything for thing in drawn)
        on_each_other = counted(p for drawn in everything for p in collisions(drawn))
        near = counted(p for drawn in everything for p in collisions(drawn, NEAR))
        found[slug] = on_each_other + Counter({pair: near[pair] for pair in APART})
        report.append(f"{slug}: {len(everything)} drawings, {dict(+found[slug]) or 'nothing'}")
        assert not signs_before_extenders(everything), f"{slug}: an extender begins under a sign"
        assert not figures_below(everything), f"{slug}: a triplet's figure stands below"
    if EVERYTHING:
        with capsys.disabled():
            sys.stdout.write("\n" + "\n".join(report) + "\n")
    unknown = {slug: set(pairs) - KNOWN.get(slug, set()) for slug, pairs in found.items()}
    assert not {slug: pairs for slug, pairs in unknown.items() if pairs}
    assert {"extender", "fermata", "hairpin", "breath", "bar number", "bracket"} <= set(measured)
    assert {"ledger line", "syllable", "dynamic", "tuplet number", "clef"} <= set(measured)


def signs_before_extenders(everything: list[list[Thing]]) -> list[tuple[Thing, Thing]]:
    """Extender lines that begin below a clef or a signature of their system."""
    signs = ("clef", "key signature", "meter")
    return [
        (line, sign)
        for drawn in everything
        for line in drawn
        for sign in drawn
        if line.kind == "extender" and sign.kind in signs and line.system == sign.system
        if line.box[0] < sign.box[2]
    ]


def figures_below(everything: list[list[Thing]]) -> list[Thing]:
    """Figures of tuplets that stand below the notes next to them."""
    return [
        figure
        for drawn in everything
        for figure in drawn
        if figure.kind == "tuplet number"
        and any(
            note.kind == "note"
            and note.box[0] < figure.box[2]
            and figure.box[0] < note.box[2]
            and 0 < figure.box[1] - note.box[3] < 720
            for note in drawn
        )
    ]


def test_every_kind_of_collision_is_found(book: Checked) -> None:
    """One thing is put where another stands, in a drawing in which nothing lies on anything."""
    score = things(shown(book, "three-strands", book.facts["three-strands"].keys[0])[1])
    first = {thing.kind: thing for thing in reversed(score)}
    assert not list(collisions(score))
    for kind, other in (
        ("dynamic", "extender"),
        ("fermata", "dynamic"),
        ("breath", "hairpin"),
        ("bar number", "bracket"),
        ("syllable", "ledger line"),
        ("direction", "staff line"),
    ):
        left, top, right, bottom = first[other].boxes[0]
        middle = (left + right) / 2
        there = (middle - 40, top - 40, middle + 40, bottom + 40)
        moved = replace(first[kind], boxes=[there])
        changed = [moved if thing is first[kind] else thing for thing in score]
        assert (min(kind, other), max(kind, other)) in counted(collisions(changed))
