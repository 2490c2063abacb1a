"""The demo handbook, checked once for the tests that weigh its content."""

from __future__ import annotations

from pathlib import Path

import pytest

from checked import Checked
from chorus_handbook.entries.model import Entry

PROJECT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="session")
def stock(demo: Checked) -> dict[str, Entry]:
    """Its exercises by slug."""
    return {entry.slug: entry for entry in demo.entries.entries}
