"""Check of the fields `related` and `leads_to`, which name other exercises.

What it checks: that they name exercises that have a file (even one with errors), and not the
exercise itself. Source: our choice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.entries.model import Entries
from chorus_handbook.problems import Problem, did_you_mean


def check_related(entries: Entries) -> Iterator[Problem]:
    """Yields an error `related-unknown` for each name (slug) in the fields `related` and `leads_to`
    of an exercise that is its own, or that no exercise has."""
    for entry in entries.entries:
        links = (("related", entry.front.related), ("leads_to", entry.front.leads_to))
        for field, slugs in links:
            for index, slug in enumerate(slugs):
                place = entry.source.place_of(field, index)
                if slug == entry.slug:
                    yield Problem(
                        place,
                        "related-unknown",
                        f'The field "{field}" names this exercise itself.',
                        f'Delete "{slug}" from the field, or name another exercise.',
                    )
                elif slug not in entries.slugs:
                    yield Problem(
                        place,
                        "related-unknown",
                        f'There is no exercise "{slug}".'
                        f"{did_you_mean(slug, sorted(entries.slugs - {entry.slug, *slugs}))}",
                        f'Write the name of a file in the folder exercises/, without ".md", or '
                        f'delete "{slug}".',
                    )
