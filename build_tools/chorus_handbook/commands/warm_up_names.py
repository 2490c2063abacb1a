"""Finds the warm-up or routine that a command line names, by its file, date or title."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import PurePath
from typing import Any

from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.commands.nearest import nearest, or_one_of
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP
from chorus_handbook.pipeline import Handbook

_DATE = r"\d{4}-\d{2}-\d{2}"


def named_text(
    name: str, book: Handbook, kinds: Sequence[Kind[Any]] = (WARM_UP, ROUTINE)
) -> Text[Any]:
    """The warm-up or routine that a person calls `name`: by its file, with or without the date; by
    its date; or by its title, in any capitals. Raises WrongUsageError if there is none or several;
    the message suggests similar names."""
    texts = [text for text in book.texts if text.kind in {kind.name for kind in kinds}]
    slug = PurePath(name).name.removesuffix(".md")
    found = [text for text in texts if text.source.slug == slug]
    found = found or [text for text in texts if getattr(text.front, "date", None) == slug]
    wanted = comparable(name)
    found = found or [text for text in texts if wanted and comparable(text.title) == wanted]
    found = found or [text for text in texts if _without_date(text.source.slug) == slug]
    if len(found) == 1:
        return found[0]
    if found:
        listed = ", ".join(text.source.slug for text in found)
        raise WrongUsageError(
            f'"{name}" could be any of several; write the name of the file of one: {listed}'
        )
    raise WrongUsageError(_unknown(name, slug, texts, book, " or ".join(k.name for k in kinds)))


def _without_date(slug: str) -> str:
    """The name of a file without the date at its beginning."""
    return re.sub(rf"^{_DATE}-", "", slug)


def _unknown(name: str, slug: str, texts: Sequence[Text[Any]], book: Handbook, noun: str) -> str:
    """The message for a name that belongs to none of `texts`; it suggests the nearest ones. `slug`
    is the name without folder and .md, and `noun` is what was looked for."""
    for problem in book.problems:
        path = PurePath(problem.place.path)
        if problem.severity == "error" and slug == path.stem and path.parent.name != "exercises":
            return f"{path} has errors; `handbook check {path}` says which"
    dated = sorted(
        (text.front.date, text.title) for text in texts if getattr(text.front, "date", None)
    )
    if re.fullmatch(_DATE, slug) and dated:
        after = [f"{day} {title}" for day, title in dated if day > slug]
        last = "the last is {} {}".format(*dated[-1])
        return f"there is no warm-up on {slug}; " + (f"the next is {after[0]}" if after else last)
    known = {text.source.slug: [text.title] for text in texts}
    guess = or_one_of(nearest(_without_date(slug), known))
    if guess or not known:
        return f'there is no {noun} "{name}".{guess}'
    return f'there is no {noun} "{name}"; write the name of its file, such as {[*known][-1]}'
