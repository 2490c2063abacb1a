"""Cleaning of HTML: the second wall against what contributors write.

The first is `rendering`: raw HTML in a body is text, and addresses that could do harm are taken
out. This one relies on nothing that came before it: only known tags and attributes survive, no
script, no style, no image or frame from elsewhere, and no id that the theme's scripts would trip
over.
"""

from __future__ import annotations

import nh3
from markupsafe import Markup

from chorus_handbook.entries.addresses import INTERNAL, SCHEMES

_TAGS = {
    *("p br hr h1 h2 h3 h4 h5 h6 ul ol li dl dt dd blockquote pre code div span".split()),
    *("em strong sup sub a img table thead tbody tr th td".split()),
}
_ATTRIBUTES = {
    "*": {"class", "title"},
    "a": {"href"},
    "img": {"src", "alt"},
    "td": {"style"},
    "th": {"style"},
    "ol": {"start"},
    # Ids are anchors: those of headings, and those between which footnotes lead.
    **{tag: {"id"} for tag in ("h1", "h2", "h3", "h4", "h5", "h6", "li", "sup")},
}
_ALIGNED = {f"text-align:{side};" for side in ("left", "right", "center")}


def _keep(tag: str, attribute: str, value: str) -> str | None:
    """What becomes of one attribute: None drops it."""
    if attribute == "id" and value.startswith("__"):
        return None  # such ids belong to the theme; one of them switches its scripts off
    if attribute == "class":  # of this one the theme's scripts make a request to another host
        return " ".join(name for name in value.split() if name != "mermaid")
    if tag == "img" and attribute == "src":
        scheme, colon, _ = value.partition(":")
        if value.startswith("//") or (colon and scheme != INTERNAL):
            return None
    if attribute == "style" and value.replace(" ", "") not in _ALIGNED:
        return None
    return value


def clean(html: str) -> Markup:
    """The HTML with everything unknown or unsafe taken out."""
    return Markup(
        nh3.clean(
            html,
            tags=_TAGS,
            attributes=_ATTRIBUTES,
            attribute_filter=_keep,
            url_schemes={*SCHEMES, INTERNAL},
            link_rel="noopener noreferrer",
            strip_comments=True,
        )
    )
