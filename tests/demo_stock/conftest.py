"""The demo handbook, checked once for the tests that weigh its content."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.entries.model import Entry
from chorus_handbook.pipeline import CHECKS, Handbook, advance, begin

PROJECT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="session")
def demo() -> Handbook:
    """The demo handbook with everything that is known of it before drawing."""
    return advance(begin(PROJECT / "handbook"), CHECKS)


@pytest.fixture(scope="session")
def stock(demo: Handbook) -> dict[str, Entry]:
    """Its exercises by slug."""
    return {entry.slug: entry for entry in demo.entries.entries}
