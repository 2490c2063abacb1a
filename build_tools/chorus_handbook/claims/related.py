"""Links between exercises.

What it checks: that `related` and `leads_to` name exercises that have a file, and not the exercise
itself. Source: our choice, because a link to nothing helps nobody; a broken exercise still has a
file, so a link to it is not a dead end.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.entries.model import Entries
from chorus_handbook.problems import Problem, did_you_mean


def check_related(entries: Entries) -> Iterator[Problem]:
    """Error `related-unknown` for each name that leads nowhere."""
    for entry in entries.entries:
        links = (("related", entry.front.related), ("leads_to", entry.front.leads_to))
        for field, slugs in links:
            for index, slug in enumerate(slugs):
                place = entry.source.place_of(field, index)
                if slug == entry.slug:
                    yield Problem(
                        place,
                        "related-unknown",
                        f"{field} names this exercise itself.",
                        "Name another exercise, or delete it.",
                    )
                elif slug not in entries.slugs:
                    yield Problem(
                        place,
                        "related-unknown",
                        f'There is no exercise "{slug}".'
                        f"{did_you_mean(slug, sorted(entries.slugs - {entry.slug, *slugs}))}",
                        "Write the name of a file in exercises/, without .md.",
                    )
