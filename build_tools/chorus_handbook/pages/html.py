"""Fills in our HTML templates. Every value is escaped unless it is `Markup`, HTML made by us."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from chorus_handbook import catalogue
from chorus_handbook.pages.page import late_slot
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.template_cache import compiled_templates

#: A script that stands in pages, where it runs before they are painted.
BEFORE_PAINT = Path(__file__).parent.parent / "browser" / "before_paint.js"
#: The name of the store of compiled templates. Change it when the options below change, because
#: they are compiled into templates.
_OPTIONS = "page-templates-escaping-trimming"


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=compiled_templates(_OPTIONS),
    )
    environment.filters.update(listed=catalogue.listed)
    environment.globals.update(
        _=catalogue._,
        ngettext=catalogue.ngettext,
        pgettext=catalogue.pgettext,
        before_paint=before_paint,
        late=late_slot,
        tag=tag,
        end=end,
    )
    return environment


def tag(name: str, **attributes: str) -> Markup:
    """The start tag of an element within a translated sentence; `end` is its end tag. Translators
    see one sentence with placeholders, and its text is still escaped."""
    named = Markup().join(Markup(' {}="{}"').format(n, v) for n, v in attributes.items())
    return Markup("<{}{}>").format(name, named)


def end(name: str) -> Markup:
    """The end tag of an element within a translated sentence."""
    return Markup("</{}>").format(name)


def render(template: str, **values: object) -> Markup:
    """Fill in a template from `templates/`. Values that are not `Markup` are escaped."""
    return Markup(_environment().get_template(template).render(**values))


@cache
def before_paint() -> Markup:
    """The script `before_paint.js` without its comment. It must be the first child of an element
    whose look depends on choices that the browser has stored."""
    text = BEFORE_PAINT.read_text(encoding="utf-8")
    code = Markup(text[text.index("(() =>") :].strip())
    return Markup('<script data-stored="{}">{}</script>').format(json.dumps(FACTS["stored"]), code)
