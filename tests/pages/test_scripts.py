"""A page loads only the scripts for what stands in it."""

from __future__ import annotations

import re
from pathlib import Path


def scripts(page: Path) -> set[str]:
    return set(re.findall(r'<script type="module" src="[^"]*/([a-z_]+\.js)"', page.read_text()))


def test_a_page_loads_the_scripts_it_uses(demo_site: Path) -> None:
    exercises = demo_site / "exercises"
    sung = {"keys.js", "player_page.js", "own_range.js", "row_choices.js", "folds.js", "steps.js"}
    assert scripts(exercises / "up-the-mast" / "index.html") == sung | {"time_ago.js", "sung.js"}
    in_no_warm_up = {"folds.js", "steps.js", "sung.js"}
    assert scripts(exercises / "gangway" / "index.html") == in_no_warm_up
    assert scripts(exercises / "index.html") == {"own_range.js", "sung.js"}
    assert scripts(demo_site / "voice-care" / "index.html") == set()
