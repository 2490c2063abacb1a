"""What may call itself HTML: constants of ours, and a short list of things that were made safe."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import chorus_handbook

PACKAGE = Path(chorus_handbook.__file__).parent

#: Everything but a constant that becomes `Markup`. Whoever adds to this list answers for it.
MADE_SAFE = {
    "entries/rendered.py": ["html"],  # which `entries.sanitise` made, from the store
    "entries/sanitise.py": ["nh3.clean(...)"],
    "mkdocs_plugin/theme_landmarks.py": ["found[2]"],  # the theme's own words, as it escaped them
    "mkdocs_plugin/plugin.py": [
        "html",
        "page.content or ''",
    ],
    "pages/cue_sheet.py": ["drawn.svg", "sprite(dict(sorted(symbols.items())))"],
    "pages/exercise.py": ["_STEP_TIME.sub(marked, html)"],  # cleaned HTML; its text stays as it is
    "pages/figure.py": [  # drawings, by `engraving`, which escapes the words in them
        "sprite(dict(sorted(symbols.items())))",
        "engraved.wide",
        "engraved.narrow or _renamed(engraved.wide)",
        "text",  # a bar in words, likewise
    ],
    "pages/html.py": [
        "_environment().get_template(template).render(**values)",
        "text[text.index('(() =>'):].strip()",  # a script of ours
    ],
    "pages/index_file.py": [  # JSON without the sign that would end its element
        "_written(chorus, ladder=ladder).replace('<', '\\\\u003c')"
    ],
    "pages/lists.py": ["small.svg", "sprite(dict(sorted(symbols.items())))"],
    "pages/order_rows.py": [  # an item of cleaned HTML, without the time before it
        "_TIME.sub('', re.sub('</?p>', '', found))"
    ],
    "pages/page.py": ["_INTERNAL.sub(seen, html)"],  # cleaned HTML with other addresses in it
    "pages/site_head.py": ["text[text.index('(() =>'):].strip()"],  # a script of ours
    "pages/starts.py": ["sprite({'octave': octave()})"],
}


def constant(node: ast.expr) -> bool:
    """Whether a text is written out, with nothing set into it."""
    if isinstance(node, ast.IfExp):
        return constant(node.body) and constant(node.orelse)
    return isinstance(node, ast.Constant)


def test_nothing_else_becomes_markup() -> None:
    found: dict[str, list[str]] = {}
    for file in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("Markup"):
                for argument in node.args:
                    if not constant(argument):
                        text = ast.unparse(argument)
                        text = "nh3.clean(...)" if text.startswith("nh3.clean(") else text
                        found.setdefault(file.relative_to(PACKAGE).as_posix(), []).append(text)
    assert {name: sorted(texts) for name, texts in found.items()} == {
        name: sorted(texts) for name, texts in MADE_SAFE.items()
    }


def test_no_template_gives_up_escaping() -> None:
    for file in (PACKAGE / "pages" / "templates").iterdir():
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"\|\s*safe\b|\bautoescape\b", text), file.name
