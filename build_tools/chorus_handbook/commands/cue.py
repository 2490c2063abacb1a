"""`handbook cue`: prints the cue sheet of a warm-up or a routine as text.

The sheet lists the exercises in order, with times, keys and what to say. With `--late` the warm-up
is shortened to the time that is left. The printed page of the warm-up shows the same, with staves.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from chorus_handbook.claims.wording import seconds
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.usage import number_from
from chorus_handbook.commands.warm_up_names import named_text
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.records.planning_numbers import planning_numbers
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.history import history_of
from chorus_handbook.warmups.late import Shortened, shorten
from chorus_handbook.warmups.planning import order_of, running_order
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.texts import WrittenPlan
from chorus_handbook.warmups.tonight import Tonight

if TYPE_CHECKING:
    from chorus_handbook.pages.order_rows import OrderRow

SUMMARY = "Print the cue sheet of a warm-up or a routine, shortened when it starts late"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("warm_up", metavar="WARM-UP", help="its file, name, date or title")
    parser.add_argument(
        "--late",
        type=number_from(0, 60),
        default=0,
        metavar="MINUTES",
        help="how late it starts, 0 to 60",
    )


def run(project: Project, options: argparse.Namespace) -> int:
    from chorus_handbook.pages.attendance import presence
    from chorus_handbook.pages.order_rows import order_rows

    book = project.read()
    text = named_text(options.warm_up, book)
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    front = text.front
    dated = isinstance(front, WarmUpFields)
    if options.late and not dated:
        raise WrongUsageError(
            f'"{text.title}" is a routine, which has no time of day; leave out --late'
        )
    log = history_of(text, book.texts).log if dated else Log()
    order = (
        running_order(text, book.exercises, chorus, vocabulary, log)
        if chorus and vocabulary
        else None
    )
    if order is None or chorus is None or vocabulary is None:
        print(f'An exercise in "{text.title}" has errors; run `handbook check`.', file=sys.stderr)
        return 1
    places, left_out, over = [*range(len(order.items))], [], 0
    if isinstance(front, WarmUpFields) and options.late:
        stock = {
            slug: planning_numbers(book.exercises[slug], vocabulary)
            for slug in {item.exercise for item in front.items}
        }
        tonight = Tonight(
            Text(text.kind, text.source, text.title, front), stock, chorus, vocabulary, log
        )
        short = shorten(tonight, round((front.minutes - options.late) * MINUTE))
        left_out = [f"{n + 1} {order.items[n].title}" for n in sorted(short.left_out)]
        places, over = [*short.items], short.over
        text = _late(text, front, short, options.late)
        order = order_of(text, stock, chorus, vocabulary, log)
    rows = order_rows(text, order, book.exercises, chorus, vocabulary, with_status=False)
    print(text.title)
    if isinstance(front, WarmUpFields):
        when = f"{front.starts}, {front.minutes:g} min"
        if isinstance(text.front, WarmUpFields) and options.late:
            ends = clock.timetable(order.items)[-1].ends + clock.END
            ends_at = clock.time_of_day(text.front.begins, ends)
            when = f"{text.front.starts} to {ends_at} ({options.late} min after {front.starts})"
        print(f"{front.date}, {when}" + _room_and_leader(front))
        for line in presence(front, chorus):
            print(line)
    # `places` are positions in the whole warm-up, so that numbers stay as its author knows them.
    for place, row in zip(places, rows, strict=True):
        aside = "".join(f"  {text}" for text in (row.keys, row.tempo) if text)
        optional = "  (if there is time)" if row.if_time else ""
        print(f"\n{row.clock or row.offset:>5}  {place + 1} {row.title}{aside}{optional}")
        for line in _lines(row):
            print(f"       {line}")
    if left_out:
        print("\nLeft out: " + "; ".join(left_out))
    if over > 0:
        print(f"\nEven so, it takes {seconds(over / SECOND)} longer than there is time for.")
    return 0


def _late(text: WrittenPlan, front: WarmUpFields, short: Shortened, late: int) -> WrittenPlan:
    """The warm-up shortened, and starting `late` minutes late. A later block keeps its own time, as
    do voices that come late or leave."""
    items = [*short.items.values()]
    starts = clock.time_of_day(front.begins, late * MINUTE)
    changed = front.model_copy(update={"starts": starts, "items": items, "join_in": short.join_in})
    return Text(text.kind, text.source, text.title, changed)


def _room_and_leader(front: WarmUpFields) -> str:
    """The end of the line with date and time, such as ", Sail loft, led by Ines"; an empty string
    if neither is stated."""
    known = (front.room, front.leader and f"led by {front.leader}")
    return "".join(f", {text}" for text in known if text)


def _lines(row: OrderRow) -> Iterator[str]:
    """The lines below the title of an exercise: who moves, what to say, its steps, and so on."""
    if row.presence:
        yield row.presence
    if row.moves:
        yield f"Move: {row.moves}"
    if row.key_rows:
        yield row.key_rows[0].starts
    if row.older:
        yield f"older singers: {row.older}"
    if row.leaving:
        yield row.leaving
    if row.short_cautions:
        yield f"Take care: {' '.join(row.short_cautions)}"
    if say := " ".join(row.say.striptags().split()):
        yield f"Say: {say}"
    yield from (f"{number} {step}" for number, step in enumerate(row.whole_steps(), 1))
    if cue := row.exercise.front.cue:
        yield f"cue word: {cue}"
    if row.by:
        yield f"led by {row.by}"
    yield from (text for text in (row.item.variation, row.item.note) if text)
