"""Writes dates for pages. How long ago a date was changes every day, so the browser adds that."""

from __future__ import annotations

from datetime import date

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _

_DAYS = (
    *(N_("Monday"), N_("Tuesday"), N_("Wednesday"), N_("Thursday"), N_("Friday")),
    *(N_("Saturday"), N_("Sunday")),
)
_MONTHS = (
    *(N_("January"), N_("February"), N_("March"), N_("April"), N_("May"), N_("June")),
    *(N_("July"), N_("August"), N_("September"), N_("October"), N_("November")),
    N_("December"),
)


def long_date(day: date) -> str:
    """A date with its day of the week: "Thursday, 3 September 2026"."""
    return _("{weekday}, {date}", weekday=_(_DAYS[day.weekday()]), date=short_date(day))


def short_date(day: date) -> str:
    """A date: "3 September 2026"."""
    # Translators: the order in which a date is written, such as "3 September 2026".
    return _("{day} {month} {year}", day=day.day, month=_(_MONTHS[day.month - 1]), year=day.year)


def time_element(day: date, text: str) -> Markup:
    """`text` in a <time> element, so that scripts can read the date."""
    return Markup('<time datetime="{}">{}</time>').format(day.isoformat(), text)
