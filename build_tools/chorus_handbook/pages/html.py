"""Our own HTML: Jinja templates with everything escaped unless it is marked as made by us."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from chorus_handbook.pages import words
from chorus_handbook.pages.learning_words import minutes
from chorus_handbook.pages.page import late_slot


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(
        note=words.note, minutes=minutes, impact=words.impact, listed=words.listed
    )
    environment.globals.update(late=late_slot, plural=words.plural)
    return environment


def render(template: str, **values: object) -> Markup:
    """The template filled in. Values that are not `Markup` are text, and are escaped."""
    return Markup(_environment().get_template(template).render(**values))
