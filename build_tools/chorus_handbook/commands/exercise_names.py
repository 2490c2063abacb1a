"""Finds the exercises that a person names by file, by title, or by plain name: the name that says
what an exercise is where its title does not."""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.commands.nearest import nearest, or_one_of
from chorus_handbook.commands.questions import Known, UnknownNamesError
from chorus_handbook.entries.model import Entries
from chorus_handbook.source.names import as_name


def read_exercises(text: str, known: Known) -> list[str]:
    """The slugs of the exercises that `text` names, with commas between the names; a name may have
    commas of its own. Raises UnknownNamesError with all unknown names, and ValueError if there is
    no name at all."""
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if not parts:
        raise ValueError("name at least one exercise")
    names: list[str] = []
    slugs: list[str] = []
    while parts:
        # Try the most parts first, because a title may have commas.
        for count in range(len(parts), 0, -1):
            name = ", ".join(parts[:count])
            if slug := _slug(name, known.entries):
                break
        names.append(name)
        slugs.append(slug)
        parts = parts[count:]
    unknown = [name for name, slug in zip(names, slugs, strict=True) if not slug]
    if unknown:
        texts = {
            entry.slug: (entry.front.title, entry.front.plain or "")
            for entry in known.entries.entries
        }
        guesses = {name: nearest(name, texts) for name in unknown}
        sentences = (
            f'there is no exercise "{name}".{or_one_of(guesses[name])}' for name in guesses
        )
        raise UnknownNamesError(" And ".join(sentences), names, guesses)
    return slugs


def list_exercises(known: Known) -> Iterator[str]:
    """A line for every exercise: the name of its file, and its plain name or title."""
    width = max((len(entry.slug) for entry in known.entries.entries), default=0)
    for entry in sorted(known.entries.entries, key=lambda entry: entry.slug):
        yield f"{entry.slug.ljust(width)}  {entry.front.plain or entry.front.title}"


def _slug(name: str, entries: Entries) -> str:
    """The slug of the exercise with this file name, title or plain name; empty if none has it."""
    name = name.removesuffix(".md")
    for slug in (name, as_name(name)):
        if slug in entries.slugs:
            return slug
    wanted = comparable(name)
    for entry in entries.entries:
        if wanted in (comparable(entry.front.title), comparable(entry.front.plain or "")):
            return entry.slug
    return ""
