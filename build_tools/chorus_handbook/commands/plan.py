"""`handbook plan`: writes the file of a new warm-up, with the exercises of the last one, those of a
routine, or those named by options. The command asks at the keyboard for what its options do not
say."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import get_args

from chorus_handbook import report
from chorus_handbook.commands.days import named_day, read_day, short_day
from chorus_handbook.commands.exercise_names import list_exercises, read_exercises
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.questions import Known, Question, answers
from chorus_handbook.commands.warm_up_names import named_text
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import (
    ROUTINE,
    WARM_UP,
    Occasion,
    RoutineItem,
    WarmUpFields,
    read_clock,
)
from chorus_handbook.pages.voice_load import load_lines
from chorus_handbook.pipeline import Handbook
from chorus_handbook.records.planning_numbers import planning_numbers
from chorus_handbook.source import shown_path
from chorus_handbook.source.names import as_name
from chorus_handbook.warmups.draft import draft, items_of_last
from chorus_handbook.warmups.history import history_of
from chorus_handbook.warmups.load import plan_load
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.season import left_out_early, nothing_new_since
from chorus_handbook.warmups.texts import warm_ups_in

SUMMARY = "Write the file of a new warm-up: from the last one, from a routine, or by questions"

#: The time of day and the minutes of the first warm-up, when there is none to copy (our choice).
_STARTS, _MINUTES = "19:30", 15.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--title")
    parser.add_argument(
        "--date", help="such as 2026-09-03 (default: a week after the last warm-up)"
    )
    parser.add_argument(
        "--starts", help="the time of day, such as 19:30 (default: as in the last one)"
    )
    parser.add_argument("--minutes", help="how long it may take (default: as in the last one)")
    parser.add_argument("--kind", choices=get_args(Occasion), help="the occasion (default: weekly)")
    add_people_and_room(parser)
    source = parser.add_mutually_exclusive_group()
    source.add_argument(
        "--from-last", action="store_true", help="the exercises sung in the last warm-up"
    )
    source.add_argument("--routine", metavar="NAME", help="the exercises of a routine")
    source.add_argument(
        "--exercise",
        action="append",
        metavar="NAME",
        help="an exercise in it; may be given repeatedly",
    )


def add_people_and_room(parser: argparse.ArgumentParser) -> None:
    """Add the flags for the fields that `copied_fields` takes from the last warm-up unless these
    flags give them."""
    parser.add_argument("--leader", metavar="NAME", help="who leads (default: as in the last one)")
    parser.add_argument("--pianist", metavar="NAME", help="who plays (default: as in the last one)")
    parser.add_argument("--room", help="where it is (default: as in the last one)")


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    book = project.read()
    if book.config.vocabulary is None or book.config.chorus is None:
        print(report.as_text(book.problems), file=sys.stderr)
        print("handbook plan: fix the files named above first.", file=sys.stderr)
        return 1
    warm_ups = warm_ups_in(book.texts)
    last = warm_ups[-1] if warm_ups else None
    items = _copied_items(options, book, last)
    if items is not None:
        options.exercise = [item.exercise for item in items]
    given = answers(
        options,
        Known(book.config.vocabulary, book.entries, root),
        (*evening_questions(warm_ups, options.kind), _exercises(last)),
    )
    if items is None:
        items = _items_for(given["exercise"], last)
    day = given["date"]
    path = root / WARM_UP.page(f"{day}-{as_name(given['title']) or 'warm-up'}")
    text = draft(
        title=given["title"],
        date=day,
        starts=given["starts"],
        minutes=given["minutes"],
        items=items,
        further=copied_fields(options, last),
    )
    shown = shown_path(path, root)
    _, written, _, problems = read_written(WARM_UP, text, path.stem, shown)
    if problems or written is None:
        raise WrongUsageError(f"{problems[0].message} {problems[0].hint}")
    write_new({path: text.encode()}, "choose another title or date")
    print(
        f"Written. `handbook check {shown}` says whether the warm-up builds up well.",
        file=sys.stderr,
    )
    for line in _information(written, book):
        print(line, file=sys.stderr)
    print(path)
    return 0


def _information(written: Text[WarmUpFields], book: Handbook) -> Iterator[str]:
    """What a director may like to know about a new warm-up, in one line each: which exercises it
    leaves out although they have been sung fewer than three times, how long ago anything was new,
    and what it asks of each voice."""
    history = history_of(written, book.texts)
    if left_out := left_out_early(written.front, history):
        names = ", ".join(left_out)
        yield (
            "For your information: sung fewer than three times so far, and left out this "
            f"time: {names}."
        )
    if newest := nothing_new_since(written.front, history):
        yield f"For your information: no exercise has been new since {newest.isoformat()}."
    yield from _load_on_voices(written, book, history.log)


def _load_on_voices(written: Text[WarmUpFields], book: Handbook, log: Log) -> Iterator[str]:
    """A line that says how much the warm-up asks of each voice."""
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    assert chorus and vocabulary
    order = running_order(written, book.exercises, chorus, vocabulary, log)
    if order is None:
        return
    items = written.front.items
    stock = {
        item.exercise: planning_numbers(book.exercises[item.exercise], vocabulary) for item in items
    }
    loads = plan_load(items, stock, order.items, chorus.voices)
    if any(load.singing for load in loads.values()):
        yield f"What it asks of each voice: {'; '.join(load_lines(loads, chorus))}."


def _copied_items(
    options: argparse.Namespace, book: Handbook, last: Text[WarmUpFields] | None
) -> list[RoutineItem] | None:
    """The items of the last warm-up or of a routine; None if the options ask for neither."""
    if options.from_last:
        if last is None:
            raise WrongUsageError("there is no warm-up yet; name exercises: --exercise NAME")
        return [*items_of_last(last)]
    if options.routine:
        return list(named_text(options.routine, book, (ROUTINE,)).front.items)
    return None


def _items_for(slugs: Sequence[str], last: Text[WarmUpFields] | None) -> list[RoutineItem]:
    """Items for these exercises. For those in the last warm-up, the items are copied from it."""
    items = reversed(last.front.items) if last else ()
    usual = {item.exercise: item for item in items}
    return [usual.get(slug) or RoutineItem(exercise=slug) for slug in slugs]


def copied_fields(
    options: argparse.Namespace, last: Text[WarmUpFields] | None
) -> list[tuple[str, str]]:
    """Further fields of the new warm-up, as names and values: its kind, and who leads, who plays
    and where it is. If the new warm-up is weekly, what `options` do not say of leader, pianist and
    room is copied from the last one."""
    fields = [("kind", options.kind)] if options.kind and options.kind != "weekly" else []
    for name in ("leader", "pianist", "room"):
        given = getattr(options, name)
        usual = getattr(last.front, name) if last and options.kind in (None, "weekly") else None
        text = usual if given is None else given.strip()  # an empty text leaves the field out
        fields += [(name, text)] if text else []
    return fields


def _exercises(last: Text[WarmUpFields] | None) -> Question:
    """The question about the exercises of a new warm-up. The default answer is those of the warm-up
    `last`."""
    usual = [item.exercise for item in items_of_last(last)] if last else []
    return Question(
        "exercise",
        "Exercises in their order, by name, with commas between (? lists them)",
        read_exercises,
        lambda _: ", ".join(usual),
        listing=list_exercises,
    )


def evening_questions(
    warm_ups: Sequence[Text[WarmUpFields]], kind: str | None
) -> tuple[Question, ...]:
    """The questions about the date, title, start and length of a new warm-up. The default answers
    come from the last of `warm_ups`; `kind` is the occasion that the options name, if any."""
    last = warm_ups[-1] if warm_ups else None
    week = timedelta(weeks=1)
    day = last.front.day + week if last else date.today()
    return (
        Question(
            "date",
            "Date, such as 2026-09-03, 3 September or Thursday",
            _read_date,
            lambda _: named_day(day),
            optional=True,
            understood=lambda text: named_day(date.fromisoformat(text)),
            warning=lambda text, _: _date_warning(text, warm_ups),
        ),
        Question("title", "Title", _read_title, lambda known: _usual_title(kind, known)),
        Question(
            "starts",
            "It starts at",
            _read_start,
            lambda _: last.front.starts if last else _STARTS,
            optional=True,
        ),
        Question(
            "minutes",
            "Minutes",
            _read_minutes,
            lambda _: f"{last.front.minutes if last else _MINUTES:g}",
            optional=True,
        ),
    )


def _read_date(text: str, _: Known) -> str:
    return read_day(text, date.today()).isoformat()


def _date_warning(text: str, warm_ups: Sequence[Text[WarmUpFields]]) -> str:
    """Why the date may be a mistake, as a sentence: there is a warm-up on that day already, or the
    day is in the past. An empty string if neither is so."""
    day = named_day(date.fromisoformat(text))
    if there := [f'"{other.title}"' for other in warm_ups if other.front.date == text]:
        return f"There is a warm-up on {day} already: {', '.join(there)}."
    return f"{day} is in the past." if text < date.today().isoformat() else ""


def _usual_title(kind: str | None, known: Known) -> str:
    """The title that is suggested, such as "Concert warm-up of 3 December". `kind` is the occasion;
    None means weekly."""
    kinds = {None: "Warm-up", "weekly": "Warm-up", "children": "Children's warm-up"}
    name = kinds.get(kind) or f"{str(kind).capitalize()} warm-up"
    return f"{name} of {short_day(date.fromisoformat(known.answers['date']))}"


def _read_start(text: str, _: Known) -> str:
    read_clock(text.strip())
    return text.strip()


def _read_title(text: str, _: Known) -> str:
    if not text.strip() or len(text.strip()) > 80:
        raise ValueError("write a title, of 80 letters at most")
    return text.strip()


def _read_minutes(text: str, _: Known) -> float:
    if not re.fullmatch(r"\d{1,2}(\.\d+)?", text.strip()) or not 1 <= float(text) <= 60:
        raise ValueError("write a number from 1 to 60, such as 15")
    return float(text)
