"""Says when an exercise was sung, on its own page and in lists.

Pages carry only dates. The browser says what the exercise is today (new, settling, known, resting)
and how long ago it was sung, so that a page is the same whenever it is built.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.pages import words
from chorus_handbook.pages.dates import short_date, time_element
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import link
from chorus_handbook.pitch import Pitch
from chorus_handbook.warmups.history import Appearance, Uses
from chorus_handbook.warmups.rotation import ENOUGH_WARM_UPS, OFTEN, Log

#: How many warm-ups are listed. Older ones are left out unless their log has a remark.
_LISTED = 8


def dates(days: Sequence[int]) -> str:
    """Days as the text of an HTML attribute: dates with spaces between them."""
    return " ".join(date.fromordinal(day).isoformat() for day in days)


def first_days(log: Log) -> str:
    """The first days of a log, as `dates` writes them. From these the browser knows whether the log
    is long enough to call an exercise new."""
    return dates(log.days[:ENOUGH_WARM_UPS])


def last_sung(slug: str, log: Log) -> Markup:
    """The element in lists that says when an exercise was last sung, or that it is new; empty if it
    was never sung and the log is too short to call anything new. An attribute has the last days on
    which the exercise was sung, from which the browser finds out whether it is known or resting
    today."""
    sung = log.sung.get(slug, ())
    if sung:
        text = _("Last sung {date}", date=short_date(date.fromordinal(sung[-1])))
    elif len(log.days) >= ENOUGH_WARM_UPS:
        text = _("New: not sung yet")
    else:
        return Markup()
    return Markup('<span class="hb-last-sung" data-sung="{}">{}</span>').format(
        dates(sung[-OFTEN:]), text
    )


def uses_in_words(path: str, uses: Uses, log: Log) -> Markup:
    """The part of an exercise's page that says when it was sung, how high, and with what remarks,
    and which warm-ups and routines contain it; empty if there is nothing to say. `path` is the path
    of that page."""
    long_enough = len(log.days) >= ENOUGH_WARM_UPS
    if not (uses.warm_ups or uses.routines or long_enough):
        return Markup()
    listed = [one for place, one in enumerate(uses.warm_ups) if place < _LISTED or one.remark]
    last = date.fromordinal(uses.sung[-1]) if uses.sung else None
    tops = [Pitch.parse(one.top) for one in uses.warm_ups if one.top]
    top = max(tops, key=lambda pitch: pitch.midi, default=None)
    return render(
        "sung.html",
        log=first_days(log),
        sung=dates(uses.sung[-OFTEN:]),
        last=time_element(last, short_date(last)) if last else "",
        never=long_enough and not last,
        top=words.note(top) if top else "",
        warm_ups=[_row(path, one) for one in listed],
        left_out=len(uses.warm_ups) - len(listed),
        routines=[{"title": title, "link": link(path, page)} for page, title in uses.routines],
    )


def _row(path: str, one: Appearance) -> dict[str, object]:
    day = date.fromisoformat(one.date)
    return {
        "date": time_element(day, short_date(day)),
        "title": one.title,
        "link": link(path, one.page),
        "planned": one.planned,
        "left_out": not (one.sung or one.planned),
        "top": words.note(one.top) if one.top else "",
        "remark": one.remark,
    }
