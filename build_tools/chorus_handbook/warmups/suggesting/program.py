"""An integer program: a weighted sum of variables to be made as great as possible under conditions.

A variable is called a column, a condition a row, as in the table in which such programs are often
written. A program is plain data: `solver` reads it, and so do the other solver and the exhaustive
search in the tests. All its numbers are whole, so that no result depends on rounding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

#: A weighted sum of columns: the factor of each, by the number of the column.
Terms = Mapping[int, int]


class Column(NamedTuple):
    """A variable from 0 to `high`, and what one unit of it adds to the sum that the solver makes as
    large as it can. `whole`: it may have only whole values."""

    worth: int
    high: int
    whole: bool


class Row(NamedTuple):
    """A condition: the sum of `terms` is at least `least` and at most `most` (None: no limit)."""

    terms: Terms
    least: int | None
    most: int | None


@dataclass(slots=True)
class Program:
    """The columns and rows of an integer program, in the order in which they were added."""

    columns: list[Column] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    def choice(self, worth: int = 0) -> int:
        """Add a column that is 0 or 1; returns its number."""
        return self._column(Column(worth, 1, whole=True))

    def amount(self, worth: int = 0, high: int = 1) -> int:
        """Add a column that may have any value from 0 to `high`; returns its number."""
        return self._column(Column(worth, high, whole=False))

    def at_least(self, terms: Terms, bound: int) -> None:
        """Add the condition that the sum of `terms` is `bound` or more."""
        self.rows.append(Row(terms, bound, None))

    def at_most(self, terms: Terms, bound: int) -> None:
        """Add the condition that the sum of `terms` is `bound` or less."""
        self.rows.append(Row(terms, None, bound))

    def implies(self, one: Iterable[int], others: Iterable[int]) -> None:
        """Add the condition that the sum of the columns `one` is at most the sum of `others`. For
        columns that are 0 or 1: one of `one` may be chosen only if one of `others` is."""
        terms = dict.fromkeys(one, 1)
        for column in others:
            terms[column] = terms.get(column, 0) - 1
        self.at_most(terms, 0)

    def _column(self, column: Column) -> int:
        self.columns.append(column)
        return len(self.columns) - 1


class Solution(NamedTuple):
    """What a solver found: the value of each column, by its number; what they are worth together; a
    `bound` that no solution's worth exceeds; and how many nodes the search took."""

    values: tuple[float, ...]
    worth: int
    bound: int
    nodes: int

    @property
    def proven(self) -> bool:
        """Whether it is shown that no solution is worth more."""
        return self.bound <= self.worth

    @property
    def gap(self) -> float:
        """How much more another solution may be worth at most, as a part of this one's worth."""
        return max(0, self.bound - self.worth) / max(1, abs(self.worth))
