"""Says on the page of an exercise when it was sung. The browser adds how long ago that is."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from markupsafe import Markup

from chorus_handbook.catalogue import ngettext
from chorus_handbook.pages import words
from chorus_handbook.pages.dates import short_date, time_element
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import link
from chorus_handbook.pitch import Pitch
from chorus_handbook.warmups.history import TimeSung

#: How many dates are listed; of earlier ones, the page gives only the number.
_NAMED = 6


def times_in_words(path: str, sung: Sequence[TimeSung]) -> Markup:
    """HTML with the dates, the latest first, the highest key reached, and the remarks; empty if the
    exercise was never sung. `path` is the page that the links start from."""
    if not sung:
        return Markup()
    dates = [_date(path, one) for one in sung[:_NAMED]]
    more = len(sung) - len(dates)
    tops = [Pitch.parse(one.top) for one in sung if one.top]
    top = max(tops, key=lambda pitch: pitch.midi, default=None)
    return render(
        "sung.html",
        dates=dates,
        more=ngettext("and {n} time before", "and {n} times before", more) if more else "",
        top=words.note(top) if top else "",
        remarks=[{"date": _date(path, one), "text": one.remark} for one in sung if one.remark],
    )


def _date(path: str, one: TimeSung) -> Markup:
    day = date.fromisoformat(one.date)
    return Markup('<a href="{}">{}</a>').format(
        link(path, one.page), time_element(day, short_date(day))
    )
