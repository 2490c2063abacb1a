"""The sets for other choruses that the package brings along, each as a whole handbook."""

from __future__ import annotations

import shutil
from pathlib import Path

import chorus_handbook
from checked import Checked, checked

STARTERS = Path(chorus_handbook.__file__).parent / "starters"
#: What has a chorus.yml, and of these what has exercises too.
CHORUSES = sorted(path.parent.name for path in STARTERS.glob("*/chorus.yml"))
SETS = sorted(path.parent.name for path in STARTERS.glob("*/exercises"))
_DEMO = Path(__file__).parent.parent / "handbook"


def starter_set(name: str, folder: Path) -> Checked:
    """One set, checked in a folder with the demo's vocabulary, but for the words that lead to the
    demo's own exercises."""
    root = folder / "handbook"
    shutil.copytree(STARTERS / name, root)
    vocabulary, _, _ = (_DEMO / "vocabulary.yml").read_text("utf-8").partition("\nwords:\n")
    (root / "vocabulary.yml").write_text(f"{vocabulary}\n", "utf-8")
    (root / "index.md").write_text("---\ntitle: A chorus\n---\n", "utf-8")
    return checked(root)
