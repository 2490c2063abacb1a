"""The problems of a handbook, shown on top of every page while it is being written."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from chorus_handbook.problems import Problem
from chorus_handbook.report import summary

_MOST = 20


def banner(problems: Sequence[Problem]) -> Markup:
    """A box with the problems; empty when there are none."""
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
        rows += Markup("<li>and {} more</li>").format(more)
    opened = Markup(" open" if any(p.severity == "error" for p in problems) else "")
    return Markup(
        '<details class="hb-problems" data-search-exclude{}>'
        "<summary>{}</summary><ul>{}</ul></details>"
    ).format(opened, summary(problems), rows)


def failure_banner(failure: Exception) -> Markup:
    """A box for what should never happen: a fault of the program, not of the handbook."""
    return Markup(
        '<details class="hb-problems" data-search-exclude open><summary>'
        "The program has a fault; it is not your mistake.</summary>"
        "<p>Undo your last change to go on, and report this with the file you changed: "
        "<code>{}: {}</code></p></details>"
    ).format(type(failure).__name__, failure)
