"""Views that nothing falls into, and why."""

from __future__ import annotations

from collections.abc import Collection

from chorus_handbook.problems import Problem
from chorus_handbook.source import clip
from chorus_handbook.views.evaluate import meets
from chorus_handbook.views.row import Row
from chorus_handbook.views.saved import PlacedView


def empty_view(placed: PlacedView, rows: Collection[Row]) -> Problem:
    """Notice `view-empty`, at the condition that shuts out everything when there is one."""
    view, document = placed.view, placed.document
    for condition in placed.rule["all"]:
        name = condition["field"]
        if not any(meets(row, condition) for row in rows):
            written = view.where[name]
            asked = ", ".join(map(str, written)) if isinstance(written, list) else written
            return Problem(
                document.place_of("where", name),
                "view-empty",
                f'The list "{view.title}" is empty: no exercise has {name}: {clip(asked)}.',
                "Loosen this condition, or keep the view until there is such an exercise.",
            )
    groups = placed.rule["any"]
    if groups and not any(
        all(meets(row, condition) for condition in group) for row in rows for group in groups
    ):
        return Problem(
            document.place_of("any"),
            "view-empty",
            f'The list "{view.title}" is empty: no exercise meets any of the groups under any.',
            "Loosen a group, or keep the view until there is such an exercise.",
        )
    return Problem(
        document.place,
        "view-empty",
        f'The list "{view.title}" is empty: each condition is met, but never all at once.',
        "Loosen one of them, or keep the view until there is such an exercise.",
    )
