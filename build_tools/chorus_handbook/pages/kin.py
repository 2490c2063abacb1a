"""Finds the exercises that are related to an exercise, for its page: by the fields `leads_to` and
`related` in the front matter of both."""

from __future__ import annotations

from collections.abc import Mapping

from chorus_handbook.catalogue import _
from chorus_handbook.records import Exercise


class Kin:
    """The relations between all exercises. A relation counts in both directions, whichever of the
    two files states it."""

    def __init__(self, stock: Mapping[str, Exercise]) -> None:
        self._stock = stock
        #: For each exercise, the exercises that lead to it, and the exercises that call it related.
        self._before: dict[str, list[str]] = {}
        self._alike: dict[str, list[str]] = {}
        for slug, exercise in stock.items():
            for name in dict.fromkeys(exercise.front.leads_to):
                self._before.setdefault(name, []).append(slug)
            for name in dict.fromkeys(exercise.front.related):
                self._alike.setdefault(name, []).append(slug)

    def of(self, slug: str) -> list[tuple[str, list[str]]]:
        """The slugs of related exercises in groups, each with its label: before it, after it,
        related."""
        own, stock = self._stock[slug].front, self._stock
        before = self._before.get(slug, [])
        after = [name for name in own.leads_to if name in stock]
        alike = self._alike.get(slug, [])
        named = [name for name in dict.fromkeys([*own.related, *alike]) if name in stock]
        related = [name for name in named if name not in {*before, *after}]
        groups = ((_("Before it"), before), (_("After it"), after), (_("Related"), related))
        return [(label, names) for label, names in groups if names]
