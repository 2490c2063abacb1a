"""The notes in words in another key: the browser names them as Python does."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from checked import Checked
from chorus_handbook.engraving.notes_in_words import notes_in_words

NAMES = "({namesInKey}, cases) => cases.map(({pitches, from, to}) => namesInKey(pitches, from, to))"


def test_the_browser_names_notes_in_every_key_as_python_does(
    demo: Checked, evaluate: Callable[[str, str, object], Any]
) -> None:
    """All exercises of the demo, in all their keys."""
    chorus = demo.config.chorus
    assert chorus
    cases, expected = [], []
    for slug, score in demo.scores.items():
        first, *others = dict.fromkeys(demo.facts[slug].keys)
        pitches = notes_in_words(slug, score.written, chorus, first).pitches
        for tonic in others:
            moved = notes_in_words(slug, score.written, chorus, tonic)
            texts = [text for line in moved.lines for _, text in line.bars]
            cases.append({"pitches": pitches, "from": str(first), "to": str(tonic)})
            expected.append(re.findall("<b>(.*?)</b>", " ".join(texts)))
    assert evaluate("pitch_names.js", NAMES, cases) == expected
    assert len(cases) > 200 and any("double" in " ".join(names) for names in expected)
