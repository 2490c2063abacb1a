"""Check for exercises with the same title.

What it checks: that no two exercises have the same title or the same plain name (the field `plain`,
which says what the exercise is), ignoring case and spaces. Source: our choice, because readers of a
list could not tell the two apart.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from chorus_handbook.entries.model import Entries, Entry
from chorus_handbook.problems import Problem


def check_duplicate_titles(entries: Entries) -> Iterator[Problem]:
    """Error `title-twice` and notice `plain-twice`, at the second and any further file by path."""
    by_title: dict[str, Entry] = {}
    by_plain: dict[str, Entry] = {}
    for entry in sorted(entries.entries, key=lambda entry: entry.source.path):
        title = entry.front.title
        holder = by_title.setdefault(plain_title(title), entry)
        if holder is not entry:
            yield Problem(
                entry.source.place_of("title"),
                "title-twice",
                f'{holder.source.path} already has the title "{title}".',
                "Give one of the two another title. Other names can go under also_called.",
            )
        plain = entry.front.plain
        if plain is not None and (
            (holder := by_plain.setdefault(plain_title(plain), entry)) != entry
        ):
            yield Problem(
                entry.source.place_of("plain"),
                "plain-twice",
                f'{holder.source.path} already has the plain name "{plain}".',
                "Say in the plain name how this one differs: in its range, its vowel or its keys.",
            )


def plain_title(title: str) -> str:
    """A title in lower case and without spaces, for comparison."""
    return "".join(unicodedata.normalize("NFKC", title).casefold().split())
