"""The problems of a handbook, shown on top of every page while it is being written."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from chorus_handbook.problems import Problem
from chorus_handbook.report import summary

_MOST = 20


def banner(problems: Sequence[Problem]) -> str:
    """A box with the problems; empty when there are none."""
    if not problems:
        return ""
    rows = "".join(
        f"<li><code>{escape(p.place.path)}:{p.place.line}:{p.place.column}</code> "
        f"{p.severity}: {escape(p.message)}<br><em>{escape(p.hint)}</em></li>"
        for p in problems[:_MOST]
    )
    more = len(problems) - _MOST
    rows += f"<li>and {more} more</li>" if more > 0 else ""
    opened = " open" if any(p.severity == "error" for p in problems) else ""
    return (
        f'<details class="hb-problems" data-search-exclude{opened}>'
        f"<summary>{escape(summary(problems))}</summary><ul>{rows}</ul></details>"
    )


def failure_banner(failure: Exception) -> str:
    """A box for what should never happen: a fault of the program, not of the handbook."""
    return (
        '<details class="hb-problems" data-search-exclude open><summary>'
        "The program failed, and not because of you.</summary>"
        f"<p>Undo your last change to go on, and report this with the file you changed: "
        f"<code>{escape(f'{type(failure).__name__}: {failure}')}</code></p></details>"
    )
