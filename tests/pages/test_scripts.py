"""A page loads only the scripts for what stands in it."""

from __future__ import annotations

import re
from pathlib import Path


def scripts(page: Path) -> set[str]:
    """Its scripts besides that of the search, which every page has."""
    named = re.findall(
        r'<script type="module" src="[^"]*/([a-z_]+)\.[0-9a-f]{10}\.js"', page.read_text()
    )
    assert "search" in named
    return {f"{name}.js" for name in named} - {"search.js"}


def test_a_page_loads_the_scripts_it_uses(demo_site: Path) -> None:
    exercises = demo_site / "exercises"
    always = {"menu.js", "scheme.js", "large_print.js", "offline.js"}
    sung = {"keys.js", "player_page.js", "own_range.js", "row_choices.js", "folds.js", "steps.js"}
    sung |= {"notes_in_words.js", "time_ago.js", "sung.js", "add_to_warm_up.js", "keep_button.js"}
    assert scripts(exercises / "up-the-mast" / "index.html") == sung | always
    in_no_warm_up = {"folds.js", "steps.js", "sung.js"}
    in_no_warm_up |= {"add_to_warm_up.js", "keep_button.js"}
    assert scripts(exercises / "gangway" / "index.html") == in_no_warm_up | always
    in_list = {"own_range.js", "sung.js", "add_to_warm_up.js"}
    assert scripts(exercises / "index.html") == in_list | always
    assert scripts(demo_site / "voice-care" / "index.html") == always
