"""Puts into a wheel what `handbook init` begins with: the demo's exercises and texts.

The files stand once, in handbook/; an editable install reads them there. The demo's warm-ups and
routines belong to its own season and stay at home.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

_FOLDER = "chorus_handbook/stock"
_PACKED = (
    "mkdocs.yml",
    *(f"handbook/{name}.yml" for name in ("chorus", "vocabulary", "views")),
    *(f"handbook/{name}.md" for name in ("index", "voice-care", "glossary")),
    *(f"handbook/{name}" for name in ("exercises", "scores")),
)


class PackedStock(BuildHookInterface[Any]):
    """Hatchling's hook around the building of a wheel."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Add the files to what the wheel holds, unless it is an editable one."""
        if version == "standard":
            root = Path(self.root)
            build_data["force_include"] |= {
                str(root / name): f"{_FOLDER}/{name}" for name in _PACKED
            }
