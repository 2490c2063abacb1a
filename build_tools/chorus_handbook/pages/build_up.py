"""Shows how a warm-up builds up: a chart of the effort (impact) of its items over time, and a table
that also has the range, the largest leap, the number of lines and the singing time of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.pages import number_words, words
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import OrderRow
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.findings import RULES
from chorus_handbook.warmups.running_order import SECOND, RunningOrder

_CHART: Mapping[str, int] = RULES["chart"]
#: In SVG units; `browser/warm_up_rules.js` explains each.
_WIDTH, _STEP, _TOP, _FOOT = (_CHART[name] for name in ("width", "step", "top", "foot"))


def build_up(order: RunningOrder, rows: Sequence[OrderRow]) -> Markup:
    """The chart of how the effort of a warm-up builds up, and the same as a table, as HTML. `rows`
    are the items of `order` in words."""
    singing = order.singing_before(len(order.items))
    return render(
        "build_up.html",
        chart=_chart(order, rows),
        rows=[
            {
                "number": row.number,
                "title": row.title,
                "impact": words.impact_in_table(row.planned.impact),
                "span": number_words.span(row.planned.span) if row.planned.span else "",
                "leap": number_words.span(row.planned.leap) if row.planned.leap else "",
                "lines": str(row.planned.lines) if row.planned.lines else "",
                "singing": words.seconds(row.planned.singing / SECOND)
                if row.planned.singing
                else "",
            }
            for row in rows
        ],
        total=words.seconds(singing / SECOND),
    )


def _chart(order: RunningOrder, rows: Sequence[OrderRow]) -> Markup:
    """The chart as SVG: for each item a bar, as wide as its time and as high as its impact. The
    impact is also written above it."""
    slots = timetable(order.items)
    whole_time = max(slots[-1].ends, 1)
    floor = _TOP + 5 * _STEP
    bars = []
    for row, slot in zip(rows, slots, strict=True):
        left = _WIDTH * slot.begins / whole_time
        width = max(_WIDTH * (slot.ends - slot.begins) / whole_time, 1)
        top = floor - _STEP * row.planned.impact
        bars.append(
            Markup(
                '<rect x="{x:.1f}" y="{y}" width="{w:.1f}" height="{h}"/>'
                '<text x="{c:.1f}" y="{t}">{impact}</text>'
                '<text x="{c:.1f}" y="{foot}" class="hb-build-up-item">{number}</text>'
            ).format(
                x=left,
                y=top,
                w=width,
                h=floor - top,
                c=left + width / 2,
                t=top - 3,
                impact=row.planned.impact,
                foot=floor + _FOOT - 3,
                number=row.number,
            )
        )
    description = _(
        "Impact of the items in their order: {impacts}.",
        impacts=", ".join(str(row.planned.impact) for row in rows),
    )
    return Markup(
        '<svg class="hb-build-up" viewBox="0 0 {w} {h}" role="img" aria-label="{description}">'
        '<path d="M0 {floor}H{w}"/>{bars}</svg>'
    ).format(
        w=_WIDTH, h=floor + _FOOT, description=description, floor=floor, bars=Markup().join(bars)
    )
