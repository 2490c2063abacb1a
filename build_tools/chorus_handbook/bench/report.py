"""Prints the results of a benchmark, and collects them for a file in the repository."""

from __future__ import annotations

import io
import os
import platform
import sys
from datetime import UTC, datetime
from importlib import metadata

from chorus_handbook import __version__

#: Libraries whose versions change the ratios most.
_LIBRARIES = ("mkdocs", "mkdocs-material", "verovio")


class Report(io.StringIO):
    """A stream that prints what is written to it, and keeps a copy."""

    def __init__(self) -> None:
        super().__init__()
        self._terminal = sys.stdout

    def write(self, text: str) -> int:
        self._terminal.write(text)
        return super().write(text)

    def flush(self) -> None:
        self._terminal.flush()

    def as_markdown(self) -> str:
        """A Markdown page with everything that was printed, and the machine and library
        versions."""
        versions = ", ".join(f"{name} {metadata.version(name)}" for name in _LIBRARIES)
        return (
            f"# Ratios of version {__version__}\n\n"
            f"Measured on {datetime.now(UTC):%Y-%m-%d} by `python -m chorus_handbook.bench --write "
            f"docs/ratios.md`: {os.cpu_count()} processors, Python {platform.python_version()}, "
            f"{versions}. Only ratios are compared from release to release, because each "
            f"release may be measured on a different machine.\n\n"
            f"```\n{self.getvalue().rstrip()}\n```\n"
        )
