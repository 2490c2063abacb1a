"""The controls "We start late" and "Voices tonight" on the page of a warm-up, with which a director
adapts it when the evening comes. `browser/tonight_page.js` makes them work. Without scripts they
are not shown; then, and on paper, sentences say what to leave out after a late start."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.pages.kinds import Shown
from chorus_handbook.pages.order_rows import OrderRow
from chorus_handbook.pages.page import VOICE_CARE, link
from chorus_handbook.pages.planning_file import PLANNING_FILE
from chorus_handbook.records.planning_numbers import planning_numbers
from chorus_handbook.warmups.history import History
from chorus_handbook.warmups.late import shorten
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.texts import WrittenPlan
from chorus_handbook.warmups.tonight import Tonight

#: The choices of a director who starts late: how many minutes are left for the warm-up. Only those
#: that are fewer than planned are offered.
_LEFT = (3, 5, 6, 8, 10, 12, 15, 20)
#: The most minutes that are chosen at first.
_USUALLY = 10
#: The delays, in minutes, for which sentences say what to leave out.
_ON_PAPER = (5, 10)


def tonight(text: WrittenPlan, front: WarmUpFields, draft: str) -> Markup:
    """The controls that change a warm-up on the evening, for its page; `front` has its fields.
    `draft` is the path of the page on which warm-ups are put together."""
    lefts = [left for left in _LEFT if left < front.minutes]
    return render(
        "tonight.html",
        lefts=lefts,
        usually=max((left for left in lefts if left <= _USUALLY), default=None),
        planning=link(text.page, PLANNING_FILE),
        handbook=link(text.page, "index.md"),
        draft=link(text.page, draft),
        voice_care=link(text.page, VOICE_CARE),
    )


def starting_late(
    text: WrittenPlan,
    front: object,
    rows: Sequence[OrderRow],
    shown: Shown,
    history: History,
) -> list[str]:
    """For each delay in `_ON_PAPER`, sentences that say what to leave out if the warm-up starts so
    late, for paper and for readers without scripts; an empty list for a routine. `front` has the
    fields of the plan, `rows` its items in words. `browser/tonight_words.js` has the same words."""
    chorus, vocabulary = shown.config.chorus, shown.config.vocabulary
    if not isinstance(front, WarmUpFields) or chorus is None or vocabulary is None:
        return []
    stock = {row.item.exercise: planning_numbers(row.exercise, vocabulary) for row in rows}
    plan = Tonight(
        Text(text.kind, text.source, text.title, front), stock, chorus, vocabulary, history.log
    )
    return [" ".join(_late(late, plan, rows)) for late in _ON_PAPER if late < front.minutes]


def _late(late: int, plan: Tonight, rows: Sequence[OrderRow]) -> Iterator[str]:
    """Sentences that say how a plan changes if it starts `late` minutes late: what is left out,
    sung only once through, or sung in fewer keys."""
    short = shorten(plan, round((plan.text.front.minutes - late) * MINUTE))
    fewer = [
        place
        for place, item in short.items.items()
        if len(plan.tonics(item)) < len(plan.tonics(plan.items[place]))
    ]
    through = [
        place
        for place, item in short.items.items()
        if item.minutes != plan.items[place].minutes and place not in fewer
    ]
    if short.left_out:
        yield ngettext(
            "If you start {n} minute late, leave out: {items}.",
            "If you start {n} minutes late, leave out: {items}.",
            late,
            items=_named(rows, sorted(short.left_out)),
        )
    else:
        yield ngettext("If you start {n} minute late:", "If you start {n} minutes late:", late)
    if through:
        yield _("Sung through, not taught: {items}.", items=_named(rows, through))
    if fewer:
        yield _("In fewer keys: {items}.", items=_named(rows, fewer))
    changed = bool(short.left_out or through or fewer)
    if (changed or short.over) and any(item.at for item in plan.items[1:]):
        yield _("The later block stays as planned, at its own time.")
    if short.over > 0:
        yield _(
            "Even so, it takes {time} longer than there is time for.",
            time=words.seconds(short.over / SECOND),
        )
    elif not changed:
        yield _("It fits as it is.")


def _named(rows: Sequence[OrderRow], places: Sequence[int]) -> str:
    """The items at these places, each with its number, separated by semicolons because their names
    may have commas."""
    return "; ".join(f"{rows[place].number} {rows[place].title}" for place in places)


def tonight_in_draft(page: str) -> Markup:
    """The controls that change a warm-up on the evening, for the page on which warm-ups are put
    together, whose path is `page`."""
    care = link(page, VOICE_CARE)
    return render(
        "tonight.html",
        lefts=_LEFT,
        usually=_USUALLY,
        voice_care=care,
        **dict.fromkeys(("planning", "handbook", "draft"), ""),
    )
