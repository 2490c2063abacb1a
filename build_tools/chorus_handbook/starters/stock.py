"""Finds the files of the stock: the exercises and texts that every new handbook starts with.

The stock is the handbook of the demo chorus, without its warm-ups and routines. A wheel holds a
copy, put there when it is built (pyproject.toml); a checkout reads the files in `handbook/`.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Literal

PACKAGE = Path(__file__).parent.parent

#: How much of the stock a new handbook begins with.
Amount = Literal["all", "everyday", "one"]
#: For a new handbook with only one exercise: the first of these that its voices can sing is used.
#: The last has no notes.
_EXAMPLES = ("slipway", "down-to-the-water", "three-steps-ashore", "all-aboard", "at-the-mooring")


def stock_folder() -> Path:
    """The folder that holds the stock's mkdocs.yml and handbook/."""
    packed = PACKAGE / "stock"
    return packed if packed.is_dir() else PACKAGE.parent.parent


def read(path: str) -> str:
    """The text of one of the stock's files. Raises OSError."""
    return (stock_folder() / path).read_text("utf-8")


def everyday() -> list[str]:
    """The slugs of the exercises in the view "everyday", those for every week, in the order of a
    warm-up."""
    # the text of the view, up to the next view or the end of the file, and the names listed in it
    view = re.search(r"(?ms)^- slug: everyday$(.*?)(?=^- slug: |\Z)", read("handbook/views.yml"))
    return re.findall(r"(?m)^      - ([a-z0-9-]+)$", view[1]) if view else []


def exercise_files(amount: Amount) -> list[Path]:
    """The files of the exercises with which a new handbook of this amount begins. For the amount
    "one", these are the candidates, in order of preference."""
    folder = stock_folder() / "handbook" / "exercises"
    if amount == "all":
        return sorted(folder.glob("*.md"))
    names = _EXAMPLES if amount == "one" else everyday()
    return [folder / f"{name}.md" for name in names]
