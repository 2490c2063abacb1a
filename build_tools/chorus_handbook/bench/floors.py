"""The floors: the same pages through plain MkDocs, the same scores through the raw engraver."""

from __future__ import annotations

import json
from pathlib import Path

from chorus_handbook.pipeline import Handbook

_ENGRAVE = """
import json, sys, verovio
verovio.enableLog(verovio.LOG_OFF)
toolkit = verovio.toolkit()
for mei, renders in json.load(open(sys.argv[1], encoding="utf-8")):
    for options in renders:
        toolkit.resetOptions()
        toolkit.setOptions(options)
        assert toolkit.loadData(mei)
        for page in range(1, toolkit.getPageCount() + 1):
            toolkit.renderToSVG(page)
"""


def plain_project(book: Handbook, config: str, folder: Path) -> None:
    """A MkDocs project with the very Markdown the handbook feeds MkDocs, and no plugin of ours.
    The author's sections are all there; the pages lack only what we set in afterwards."""
    site = book.site
    assert site is not None
    docs = folder / "handbook"
    for page in site.pages:
        path = docs / page.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"# {page.title}\n{page.markdown}", encoding="utf-8")
    plain = "\n".join(line for line in config.splitlines() if "chorus-handbook" not in line)
    menu = [
        {title: entry if isinstance(entry, str) else [{name: path} for name, path in entry]}
        for title, entry in site.menu
    ]
    hidden = "not_in_nav: |\n  /exercises/*\n"
    (folder / "mkdocs.yml").write_text(
        f"{plain}\n{hidden}nav: {json.dumps(menu)}\n", encoding="utf-8"
    )


def raw_engraver(scores: list[tuple[str, list[dict[str, object]]]], folder: Path) -> list[str]:
    """Arguments of a process that renders each MEI as often, and with the options, that we do."""
    (folder / "scores.json").write_text(json.dumps(scores), encoding="utf-8")
    (folder / "engrave.py").write_text(_ENGRAVE, encoding="utf-8")
    return [str(folder / "engrave.py"), str(folder / "scores.json")]
