"""The floors: the same pages through plain MkDocs, the same scores through the raw engraver."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook.bench.renders import Render
from chorus_handbook.pipeline import Handbook

_ENGRAVE = """
import json, sys, verovio
verovio.enableLog(verovio.LOG_OFF)
toolkit = verovio.toolkit()
for mei, width in json.load(open(sys.argv[1], encoding="utf-8")):
    toolkit.setOptions({
        "adjustPageHeight": True,
        "adjustPageWidth": width is None,
        "breaks": "encoded" if "<sb/>" in mei else "none",
        "pageHeight": 60000,
        "pageWidth": (width or 1000000) // 10,
    })
    assert toolkit.loadData(mei)
    assert "system" in toolkit.renderToSVG(1)
"""


def plain_project(book: Handbook, config: str, folder: Path) -> None:
    """A MkDocs project with the very Markdown the handbook feeds MkDocs, and no plugin of ours.
    The authors' sections are all there; the pages lack only what we set in afterwards."""
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


def raw_engraver(renders: Sequence[Render], folder: Path) -> list[str]:
    """The arguments of a process that does every render and nothing else."""
    (folder / "scores.json").write_text(json.dumps(renders), encoding="utf-8")
    (folder / "engrave.py").write_text(_ENGRAVE, encoding="utf-8")
    return [str(folder / "engrave.py"), str(folder / "scores.json")]
