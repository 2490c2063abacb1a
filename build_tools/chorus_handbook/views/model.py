"""The fields of a view as authors write it: one item of the list in views.yml."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from chorus_handbook.chorus.model import Line, Model, Name
from chorus_handbook.entries.model import Moment


class SavedView(Model):
    """One view as it stands in views.yml. `conditions.py` reads its conditions (`where` and
    `any`)."""

    slug: Annotated[Name, Field(description="Its address: small letters, digits, hyphens.")]
    title: Annotated[Line, Field(max_length=80, description="The name on the page.")]
    intro: Annotated[
        str, Field(min_length=1, max_length=1000, description="One or two sentences for readers.")
    ]
    moment: Moment | None = Field(
        default=None,
        description="The part of a warm-up that it is for. Without this field, it is for a "
        "situation, such as singing outdoors.",
    )
    where: dict[str, Any] = Field(
        default_factory=dict,
        description="Conditions that must all hold, such as impact: at most 2.",
    )
    any: list[dict[str, Any]] = Field(
        default_factory=list, description="Groups of conditions, of which one must hold."
    )
    order: list[str] = Field(
        default_factory=list,
        max_length=6,
        description="The fields to sort by. Without this field, by title.",
    )
