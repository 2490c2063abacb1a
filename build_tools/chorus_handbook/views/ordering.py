"""The order of the exercises in a view."""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.views.row import Row

Key = tuple[tuple[bool, int, str], ...]


def sort_key(
    row: Row, order: Sequence[str], ranks: dict[str, dict[str, int]]
) -> tuple[Key, str, str]:
    """A key by the fields of `order`, then title, then slug; what is not stated comes last.

    Numbers go upwards. `ranks` holds, by field, the places of its words in their own order
    (opening before middle before closing); words without a place go by the alphabet, after them.
    """
    parts = []
    for name in order:
        value = row[name]
        if value is None:
            parts.append((True, 0, ""))
        elif isinstance(value, int):
            parts.append((False, value, ""))
        else:
            word = str(value)
            places = ranks.get(name, {})
            parts.append((False, places.get(word, len(places)), word.casefold()))
    return tuple(parts), str(row["title"]).casefold(), str(row["slug"])
