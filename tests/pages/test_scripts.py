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


def test_a_page_asks_at_once_for_all_that_its_scripts_import(demo_site: Path) -> None:
    """Otherwise a browser asks for a module only when it has read the one that imports it: at 400
    kbit/s, the player came a tenth later."""
    for path in ("exercises/up-the-mast", "draft", ""):
        page = demo_site / path / "index.html"
        assert named(page, "href") == imported(named(page, "src")) - named(page, "src"), path


def named(page: Path, attribute: str) -> set[Path]:
    """The modules that the last elements of a page name."""
    end = page.read_text("utf-8").rpartition("</footer>")[2]
    names = re.findall(rf'<(?:script type|link rel)="module[^<>]* {attribute}="([^"]+\.js)"', end)
    assert len(names) == len({*names}) > 2
    return {(page.parent / name).resolve() for name in names}


def imported(modules: set[Path]) -> set[Path]:
    """What these modules import, as their text in the site says, directly or through others."""
    found: set[Path] = set()
    while (
        new := {
            (module.parent / name).resolve()
            for module in modules | found
            for name in re.findall(
                r'^(?:import|export)\b[^;]*? "(\./[^"]+)";', module.read_text(), re.M
            )
        }
        - found
    ):
        found |= new
    return found
