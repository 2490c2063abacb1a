"""The second wall against what contributors write: HTML made from their Markdown is cleaned.

The first wall is `entries/safety.py`, which finds unsafe text and tells its author where it
stands. This one trusts nothing that came through: only known tags and attributes survive, no
script, no style, no image or frame from elsewhere, and no id the theme's scripts would trip over.
"""

from __future__ import annotations

import nh3
from markupsafe import Markup

_TAGS = {
    *("p br hr h1 h2 h3 h4 h5 h6 ul ol li dl dt dd blockquote pre code div span".split()),
    *("em strong b i u s del ins sup sub kbd mark abbr small q cite dfn".split()),
    *("table thead tbody tfoot tr th td caption a img figure figcaption details summary".split()),
}
_ATTRIBUTES = {
    "*": {"id", "class", "title", "lang"},
    "a": {"href", "title", "id", "class"},
    "img": {"src", "alt", "title", "width", "height"},
    "td": {"style", "colspan", "rowspan"},
    "th": {"style", "colspan", "rowspan", "scope"},
    "ol": {"start", "type"},
    "details": {"open"},
    "abbr": {"title"},
}


def _keep(tag: str, attribute: str, value: str) -> str | None:
    """What becomes of one attribute: None drops it."""
    if attribute == "id" and value.startswith("__"):
        return None  # such ids belong to the theme; one of them switches its scripts off
    if attribute == "class":  # of this one the theme's scripts make a request to another host
        return " ".join(name for name in value.split() if name != "mermaid")
    if tag == "img" and attribute == "src" and (":" in value or value.startswith("//")):
        return None
    if attribute == "style" and value.replace(" ", "") not in {
        f"text-align:{side};" for side in ("left", "right", "center")
    }:
        return None
    return value


def clean(html: str) -> Markup:
    """The HTML with everything unknown or unsafe taken out."""
    if "<" not in html:
        return Markup(html)
    return Markup(
        nh3.clean(
            html,
            tags=_TAGS,
            attributes=_ATTRIBUTES,
            attribute_filter=_keep,
            url_schemes={"http", "https", "mailto", "tel"},
            link_rel="noopener noreferrer",
            strip_comments=True,
        )
    )


def without_tags(html: str) -> Markup:
    """The HTML with all its tags taken out; what they enclosed stays."""
    return Markup(nh3.clean(html, tags=set()))
