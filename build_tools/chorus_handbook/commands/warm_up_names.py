"""Finds the warm-up or routine that a command line names."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath
from typing import Any

from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.entries.model import Text
from chorus_handbook.problems import did_you_mean


def named_text(name: str, texts: Sequence[Text[Any]]) -> Text[Any]:
    """The warm-up or routine with this file, slug or date. Raises WrongUsageError."""
    slug = PurePath(name).name.removesuffix(".md")
    found = [text for text in texts if text.source.slug == slug]
    found = found or [text for text in texts if getattr(text.front, "date", None) == slug]
    if len(found) == 1:
        return found[0]
    slugs = [text.source.slug for text in texts]
    if found:
        listed = ", ".join(text.source.slug for text in found)
        raise WrongUsageError(f"there are several on {slug}; name one: {listed}")
    raise WrongUsageError(f'there is no "{name}" that could be read.{did_you_mean(slug, slugs)}')
