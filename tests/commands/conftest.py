"""What the tests of commands share: an author who fills in what a new exercise leaves open."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.entries.draft import PLACEHOLDERS


@pytest.fixture
def fill_in(project: Path) -> Callable[[], None]:
    """Replaces every text in brackets that a new exercise begins with."""

    def run() -> None:
        for path in (project / "handbook" / "exercises").glob("*.md"):
            text = path.read_text(encoding="utf-8")
            for placeholder in PLACEHOLDERS:
                text = text.replace(placeholder, "mm" if "syllable" in placeholder else "Hum it.")
            path.write_text(text, encoding="utf-8")

    return run
