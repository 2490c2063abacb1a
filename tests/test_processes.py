"""How many processes work at once."""

from __future__ import annotations

import pytest

from chorus_handbook import process_pool
from chorus_handbook.process_pool import PROCESSES, processes


@pytest.mark.parametrize("told, count", [("1", 1), ("3", 3), ("0", 1)])
def test_the_environment_says_how_many(
    told: str, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PROCESSES, told)
    assert processes() == count


@pytest.mark.parametrize("told", ["", "many", "-2"])
def test_what_is_no_number_is_as_if_nothing_were_said(
    told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(PROCESSES, told)
    monkeypatch.setattr(process_pool.os, "cpu_count", lambda: 5)
    assert processes() == 5
