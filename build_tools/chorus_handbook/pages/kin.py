"""Finds the exercises that are related to an exercise, for its page."""

from __future__ import annotations

from collections.abc import Mapping

from chorus_handbook.catalogue import _
from chorus_handbook.records import Exercise


def kin(slug: str, stock: Mapping[str, Exercise]) -> list[tuple[str, list[str]]]:
    """The slugs of related exercises in groups, each with its label: before it, after it, related.
    A relation counts in both directions, whichever of the two files states it."""
    fronts = {name: other.front for name, other in stock.items()}
    own = fronts[slug]
    before = [name for name, front in fronts.items() if slug in front.leads_to]
    after = [name for name in own.leads_to if name in fronts]
    alike = [name for name, front in fronts.items() if slug in front.related]
    named = [name for name in dict.fromkeys([*own.related, *alike]) if name in fronts]
    related = [name for name in named if name not in {*before, *after}]
    groups = ((_("Before it"), before), (_("After it"), after), (_("Related"), related))
    return [(label, names) for label, names in groups if names]
