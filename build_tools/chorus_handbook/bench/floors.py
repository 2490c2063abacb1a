"""Makes the floors: a plain MkDocs project with the same pages, and the engraver alone with the
same drawings.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook.bench.renders import Render
from chorus_handbook.pipeline import Handbook

#: A program that draws every score of a JSON file with the engraver alone.
_ENGRAVE = """
import json, sys, verovio
verovio.enableLog(verovio.LOG_OFF)
toolkit = verovio.toolkit()
for render in json.load(open(sys.argv[1], encoding="utf-8")):
    toolkit.resetOptions()
    toolkit.setOptions(render["options"])
    assert toolkit.loadData(render["document"])
    assert "system" in toolkit.renderToSVG(1)
"""
#: Options of the engraver that only make its output smaller or faster. The floor is made without
#: them, because they do not change what readers see.
_SIZE_AND_SPEED_OPTIONS = ("mmOutput", "svgFormatRaw", "svgRemoveXlink")

#: The Markdown extensions that our own build turns on, for the configuration of plain MkDocs.
_EXTENSIONS = "markdown_extensions: [admonition, def_list, footnotes, sane_lists, tables, toc]\n"


def plain_project(book: Handbook, config: str, folder: Path) -> None:
    """Write a MkDocs project into `folder` that has the same pages with the same texts by their
    authors, and the same Markdown extensions, but not our plugin. Its pages lack only what our own
    templates add. `config` is the text of our mkdocs.yml."""
    site = book.site
    assert site is not None
    docs = folder / "handbook"
    written = {r.source.page: r.source.text for r in book.records if r.source}
    for page in site.plans:
        path = docs / page.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"# {page.title}\n{written.get(page.path, '')}", encoding="utf-8")
    plain = "\n".join(line for line in config.splitlines() if "chorus-handbook" not in line)
    menu = [
        {title: entry if isinstance(entry, str) else [{name: path} for name, path in entry]}
        for title, entry in site.menu
    ]
    hidden = "not_in_nav: |\n  /exercises/*\n"
    (folder / "mkdocs.yml").write_text(
        f"{plain}\n{hidden}{_EXTENSIONS}nav: {json.dumps(menu)}\n", encoding="utf-8"
    )


def raw_engraver(renders: Sequence[Render], folder: Path) -> list[str]:
    """The arguments for Python with which it draws those of the `renders` that readers see, and
    does nothing else. Writes its program and data into `folder`. Our build also draws to find
    widths and line breaks; another program might not need to, so such drawings are not part of the
    floor."""
    scores = [
        {"document": render.document, "options": raw_options(render)}
        for render in renders
        if render.shown
    ]
    (folder / "scores.json").write_text(json.dumps(scores), encoding="utf-8")
    (folder / "engrave.py").write_text(_ENGRAVE, encoding="utf-8")
    return [str(folder / "engrave.py"), str(folder / "scores.json")]


def raw_options(render: Render) -> dict[str, object]:
    """The engraver's options for a render whose output is put into a page unchanged."""
    return {
        name: value for name, value in render.options.items() if name not in _SIZE_AND_SPEED_OPTIONS
    }
