"""The HTML box with the problems of a handbook, shown above every page in `handbook serve`."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.problems import Problem
from chorus_handbook.report import summary

#: How many problems the box lists at most; the others are only counted.
_MOST = 20
#: The start tags below which the box is put: that of the content or, without one, of the body.
_CONTENT, _BODY = re.compile(r"<article\b[^>]*>"), re.compile(r"<body\b[^>]*>")


def banner(problems: Sequence[Problem]) -> Markup:
    """The HTML of a box that lists these problems, in this order; empty when there are none."""
    if not problems:
        return Markup()
    rows = Markup().join(
        Markup("<li><code>{}:{}:{}</code> {}: {}<br><em>{}</em></li>").format(
            p.place.path, p.place.line, p.place.column, p.severity, p.message, p.hint
        )
        for p in problems[:_MOST]
    )
    more = len(problems) - _MOST
    if more > 0:
        rows += Markup("<li>{}</li>").format(ngettext("and {n} more", "and {n} more", more))
    opened = Markup(" open" if any(p.severity == "error" for p in problems) else "")
    return Markup(
        '<details class="hb-problems"{}><summary>{}</summary><ul>{}</ul></details>'
    ).format(opened, summary(problems), rows)


def failure_banner(failure: Exception) -> Markup:
    """The HTML of a box for an error in the program itself, which is not the author's fault."""
    return Markup(
        '<details class="hb-problems" open><summary>{}</summary><p>{}</p></details>'
    ).format(
        _("The program has a fault; it is not your mistake."),
        _(
            "Undo your last change to go on, and report this with the file you changed: {fault}",
            fault=Markup("<code>{}: {}</code>").format(type(failure).__name__, failure),
        ),
    )


def put_on_top(page: str, box: Markup) -> str:
    """The HTML of a whole page with a box inserted above its content."""
    top = _CONTENT.search(page) or _BODY.search(page)
    at = top.end() if top else 0
    return f"{page[:at]}{box}{page[at:]}"
