"""The table of checks that compare exercises with one another, and the function that runs them.
They run in every build, because a change of one file can change the result for another."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from chorus_handbook.claims.duplicate_titles import check_duplicate_titles
from chorus_handbook.claims.related import check_related
from chorus_handbook.entries.model import Entries
from chorus_handbook.problems import Problem

#: The checks, each with the name of its module.
STOCK_CHECKS: tuple[tuple[str, Callable[[Entries], Iterator[Problem]]], ...] = (
    ("related", check_related),
    ("duplicate_titles", check_duplicate_titles),
)


def check_stock(entries: Entries) -> list[Problem]:
    """Run all `STOCK_CHECKS` on the exercises of a handbook. Returns the problems in file order."""
    return sorted(problem for _, check in STOCK_CHECKS for problem in check(entries))
