"""The checks on all exercises together, made in every run."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from chorus_handbook.claims.duplicate_titles import check_duplicate_titles
from chorus_handbook.claims.related import check_related
from chorus_handbook.entries.model import Entries
from chorus_handbook.problems import Problem

#: The checks on all exercises together.
STOCK_CHECKS: tuple[tuple[str, Callable[[Entries], Iterator[Problem]]], ...] = (
    ("related", check_related),
    ("duplicate_titles", check_duplicate_titles),
)


def check_stock(entries: Entries) -> list[Problem]:
    """Problems between exercises."""
    return sorted(problem for _, check in STOCK_CHECKS for problem in check(entries))
