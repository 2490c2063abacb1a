"""Cleans HTML with nh3. This is the second of two defences against harmful text.

The first defence is `conversion`, which shows raw HTML as text and removes harmful addresses. This
module does not rely on that: it keeps only known tags and attributes, without scripts, styles,
images or frames from other sites, and without ids that the theme's scripts would react to.
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
#: The only styles that are allowed: those of table cells.
_ALIGNED = {f"text-align:{side};" for side in ("left", "right", "center")}


def _allowed_value(tag: str, attribute: str, value: str) -> str | None:
    """The value that an attribute may have instead of `value`; None removes the attribute."""
    if attribute == "id" and value.startswith("__"):
        return None  # the theme's own ids; one of them switches its scripts off
    if attribute == "class":  # for "mermaid" the theme loads a script from another host
        return " ".join(name for name in value.split() if name != "mermaid")
    if tag == "img" and attribute == "src":
        scheme, colon, _ = value.partition(":")
        if value.startswith("//") or (colon and scheme != INTERNAL):
            return None
    if attribute == "style" and value.replace(" ", "") not in _ALIGNED:
        return None
    return value


def clean(html: str) -> Markup:
    """The HTML with known and safe tags and attributes only, marked as safe. Everything else is
    removed."""
    return Markup(
        nh3.clean(
            html,
            tags=_TAGS,
            attributes=_ATTRIBUTES,
            attribute_filter=_allowed_value,
            url_schemes={*SCHEMES, INTERNAL},
            link_rel="noopener noreferrer",
            strip_comments=True,
        )
    )
