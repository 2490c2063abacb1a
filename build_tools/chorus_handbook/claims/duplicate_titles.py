"""Check for exercises with the same title.

What it checks: that no two exercises have the same title or the same plain name (the field `plain`,
which says what the exercise is). Capital letters and spaces make no difference. Source: our choice,
because readers of a list could not tell the two apart.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from chorus_handbook.entries.model import Entries, Entry
from chorus_handbook.problems import Problem


def check_duplicate_titles(entries: Entries) -> Iterator[Problem]:
    """Yields an error `title-twice` or a notice `plain-twice` for each exercise with the title or
    the plain name of another exercise. The first exercise with a name, in the order of their paths,
    is not reported."""
    by_title: dict[str, Entry] = {}
    by_plain: dict[str, Entry] = {}
    for entry in sorted(entries.entries, key=lambda entry: entry.source.path):
        title, plain = entry.front.title, entry.front.plain
        first = by_title.setdefault(comparable(title), entry)
        if first is not entry:
            yield Problem(
                entry.source.place_of("title"),
                "title-twice",
                f'The exercise in {first.source.path} already has the title "{title}".',
                'Give one of the two another title. Other names can go after "also_called:".',
            )
        first = by_plain.setdefault(comparable(plain), entry) if plain is not None else entry
        if first is not entry:
            yield Problem(
                entry.source.place_of("plain"),
                "plain-twice",
                f'The exercise in {first.source.path} already has the plain name "{plain}".',
                "Say in the plain name how this exercise differs: in its range, its vowel or its "
                "keys.",
            )


def comparable(title: str) -> str:
    """A title or name in the form in which two of them are compared: in small letters, without
    spaces, and with equivalent characters replaced by the same one (Unicode form NFKC)."""
    return "".join(unicodedata.normalize("NFKC", title).casefold().split())
