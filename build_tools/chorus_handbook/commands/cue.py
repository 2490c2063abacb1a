"""`handbook cue`: prints the cue sheet of a warm-up or a routine as text. With `--late` it leaves
out items so that the others still fit. The printed page of the warm-up shows the same, with staves.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.usage import number_from
from chorus_handbook.commands.warm_up_names import named_text
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.history import history_of
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE
from chorus_handbook.warmups.texts import WrittenPlan

SUMMARY = "Print the cue sheet of a warm-up or a routine, refitted when it starts late"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("warm_up", metavar="WARM-UP", help="its file, name, date or title")
    parser.add_argument(
        "--late",
        type=number_from(0, 60),
        default=0,
        metavar="MINUTES",
        help="start so many minutes late",
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
        raise WrongUsageError(f'"{text.title}" is a routine, which has no start to be late for')
    log = history_of(text, book.texts).log if dated else Log()
    order = (
        running_order(text, book.exercises, chorus, vocabulary, log)
        if chorus and vocabulary
        else None
    )
    if order is None or chorus is None or vocabulary is None:
        print("An exercise in it has errors: `handbook check` says which.", file=sys.stderr)
        return 1
    cut: list[int] = []
    if isinstance(front, WarmUpFields) and options.late:
        cut = clock.refit(order.items, round((front.minutes - options.late) * MINUTE))
        left_out = [f"{n + 1} {order.items[n].title}" for n in sorted(cut)]
    kept = [place for place in range(len(order.items)) if place not in cut]
    if isinstance(front, WarmUpFields) and options.late:
        text = _late(text, front, kept, options.late)
        order = running_order(text, book.exercises, chorus, vocabulary, log)
        assert order is not None
    rows = order_rows(text, order, book.exercises, chorus, vocabulary, with_status=False)
    print(text.title)
    if isinstance(front, WarmUpFields):
        when = f"{front.starts}, {front.minutes:g} min"
        if isinstance(text.front, WarmUpFields) and options.late:
            ends = clock.timetable(order.items)[-1].ends + clock.END
            ends_at = clock.time_of_day(text.front.begins, ends)
            when = f"{text.front.starts} to {ends_at} ({options.late} min after {front.starts})"
        print(f"{front.date}, {when}" + _at(front))
        for line in presence(front, chorus):
            print(line)
    for place, row in zip(kept, rows, strict=True):
        aside = "".join(f"  {text}" for text in (row.keys, row.tempo) if text)
        optional = "  (if there is time)" if row.if_time else ""
        print(f"\n{row.clock or row.offset:>5}  {place + 1} {row.title}{aside}{optional}")
        for line in _lines(row):
            print(f"       {line}")
    if cut:
        print("\nLeft out: " + ", ".join(left_out))
    return 0


def _late(text: WrittenPlan, front: WarmUpFields, kept: list[int], late: int) -> WrittenPlan:
    """The warm-up with only the items at the places `kept`, and starting `late` minutes late. A
    later block keeps its own time, as do voices that come late or leave."""
    items = [front.items[place] for place in kept]
    starts = clock.time_of_day(front.begins, late * MINUTE)
    changed = front.model_copy(update={"starts": starts, "items": items})
    return Text(text.kind, text.source, text.title, changed)


def _at(front: WarmUpFields) -> str:
    known = (front.room, front.leader and f"led by {front.leader}")
    return "".join(f", {text}" for text in known if text)


def _lines(row: object) -> Iterator[str]:
    from chorus_handbook.pages.order_rows import OrderRow

    assert isinstance(row, OrderRow)
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
        yield f"by {row.by}"
    yield from (text for text in (row.item.variation, row.item.note) if text)
