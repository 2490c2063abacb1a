"""`handbook cue`: prints the cue sheet of a warm-up or a routine as text. With `--late` it leaves
out items so that the others still fit. The printed page of the warm-up shows the same, with staves.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import replace

from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.usage import number_from
from chorus_handbook.commands.warm_up_names import named_text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.history import history_of
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE

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
    kept = [place for place in range(len(order.items)) if place not in cut]
    late = options.late * MINUTE  # does not apply to a later block, which has its own time
    items = [replace(item, at=item.at and item.at - late) for item in order.items]
    slots = clock.timetable([items[place] for place in kept])
    rows = order_rows(text, order, book.exercises, chorus, vocabulary, with_status=False)
    print(text.title)
    if isinstance(front, WarmUpFields):
        print(f"{front.date}, {front.starts}, {front.minutes:g} min" + _at(front))
    for place, slot in zip(kept, slots, strict=True):
        row = rows[place]
        begins = (
            clock.time_of_day(front.begins + options.late, slot.begins)
            if isinstance(front, WarmUpFields)
            else row.offset
        )
        keys = f"  {row.keys}" if row.keys else ""
        print(f"\n{begins:>5}  {row.number} {row.title}{keys}")
        for line in _lines(row, row.formation if slot.moves else ""):
            print(f"       {line}")
    if cut:
        print("\nLeft out: " + ", ".join(f"{rows[n].number} {rows[n].title}" for n in sorted(cut)))
    return 0


def _at(front: WarmUpFields) -> str:
    known = (front.room, front.leader and f"led by {front.leader}")
    return "".join(f", {text}" for text in known if text)


def _lines(row: object, moves: str) -> Iterator[str]:
    from chorus_handbook.pages.order_rows import OrderRow

    assert isinstance(row, OrderRow)
    if moves:
        yield f"Move: {moves}"
    if row.key_rows:
        yield row.key_rows[0].starts
    if row.older:
        yield f"older singers: {row.older}"
    if row.leaving:
        yield row.leaving
    yield from (f"{number} {step}" for number, step in enumerate(row.short_steps(), 1))
    if cue := row.exercise.front.cue:
        yield f"cue word: {cue}"
    if row.by:
        yield f"by {row.by}"
    yield from (text for text in (row.item.variation, row.item.note) if text)
