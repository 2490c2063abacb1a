"""`handbook suggest`: writes the file of the best warm-up for an evening, and says why each of its
exercises was chosen."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any, get_args

from chorus_handbook import report
from chorus_handbook.commands.days import named_day, read_day
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.plan import add_people_and_room, copied_fields, evening_questions
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.questions import Known, answers
from chorus_handbook.commands.suggest_request import read_request
from chorus_handbook.commands.suggest_words import explanation, impossible, worth_knowing
from chorus_handbook.commands.usage import number_from
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import WARM_UP, Occasion, WarmUpFields
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.names import as_name
from chorus_handbook.warmups import check_warm_ups
from chorus_handbook.warmups.draft import COPIED, Value, draft
from chorus_handbook.warmups.rotation import WEEK
from chorus_handbook.warmups.suggesting import NothingRightError, Suggestion, suggest
from chorus_handbook.warmups.suggesting.finishing import cut_order, join_in
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stock import contradictions, stock_before
from chorus_handbook.warmups.texts import warm_ups_in

SUMMARY = "Write the file of the best warm-up for an evening, with the reasons for each choice"

#: The largest number for --seed.
_LARGEST_SEED = 9999


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--date", help="such as 2026-12-10 (default: a week after the last warm-up)"
    )
    parser.add_argument("--minutes", help="how long it may take (default: as in the last one)")
    parser.add_argument(
        "--starts", help="the time of day, such as 19:30 (default: as in the last one)"
    )
    parser.add_argument("--title")
    parser.add_argument("--kind", choices=get_args(Occasion), help="the occasion (default: weekly)")
    parser.add_argument(
        "--second-block",
        metavar="TIME",
        help="when a concert's warm-up goes on, right before the concert; else as at the last one",
    )
    add_people_and_room(parser)
    for flag, metavar, text in (
        ("--lead-into", "GOAL", "a goal of the music that follows"),
        ("--keep", "EXERCISE", "an exercise that is in it"),
        (
            "--avoid",
            "NAME",
            "what is not in it: an exercise, goal, family, manner or formation",
        ),
        ("--present", "VOICE", "a voice or group that is there; else everybody"),
        ("--few", "VOICE", "a voice with one or two singers"),
        ("--there", "HOURS", 'when a voice comes or leaves, such as "bass from 19:40"'),
    ):
        help_text = f"{text}; may be given repeatedly"
        parser.add_argument(flag, action="append", metavar=metavar, help=help_text)
    parser.add_argument("--piece", help="the music that follows")
    parser.add_argument(
        "--tired", action="store_true", help="the voices are tired: only gentle exercises"
    )
    parser.add_argument(
        "--seed",
        type=number_from(0, _LARGEST_SEED),
        default=0,
        metavar="NUMBER",
        help="another number gives another suggestion that is nearly as good",
    )
    parser.add_argument(
        "--dry-run", action="store_true", help="print the file instead of writing it"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    book = project.read()
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    if chorus is None or vocabulary is None:
        print(report.as_text(book.problems), file=sys.stderr)
        print("handbook suggest: fix the files named above first.", file=sys.stderr)
        return 1
    warm_ups = warm_ups_in(book.texts)
    today = date.today()
    if options.date is None:
        options.date = next_date(warm_ups, today)
    _refuse_past(options.date, today)
    questions = [replace(one, optional=True) for one in evening_questions(warm_ups, options.kind)]
    evening = answers(options, Known(vocabulary, book.entries, book.root), questions)
    request = read_request(options, evening, book)
    stock = stock_before(request.day, book.exercises, chorus, vocabulary, warm_ups)
    for sentence in (*contradictions(warm_ups, today), *worth_knowing(request, stock)):
        print(f"For your information: {sentence}", file=sys.stderr)
    try:
        suggestion = suggest(request, stock)
    except NothingRightError as gone:
        raise WrongUsageError(
            "`handbook check` would have a notice about every warm-up that was tried; ask for "
            "other minutes, or give another --seed"
        ) from gone
    if suggestion is None:
        raise WrongUsageError(impossible(request, stock))
    text = _file_text(evening, options, request, suggestion, warm_ups)
    path = book.root / WARM_UP.page(f"{evening['date']}-{as_name(evening['title']) or 'warm-up'}")
    problems = _problems(text, path.stem, shown_path(path, book.root), book)
    if errors := [problem for problem in problems if problem.severity == "error"]:
        first = errors[0]  # may be in the file of another warm-up on that day
        own = first.place.path == shown_path(path, book.root)
        if first.code == "warmup-twice":
            message = first.message if own else f"{first.place.path} is in the same room by then."
            other = "write another --starts, --room or --date, or change that file"
            raise WrongUsageError(f"{message} To have both, {other}")
        where = "" if own else f"{first.place.path}: "
        raise WrongUsageError(f"{where}{first.message} {first.hint}")
    for line in explanation(request, suggestion, stock):
        print(line, file=sys.stderr)
    if problems:
        print(report.as_text(problems), file=sys.stderr)
    if options.dry_run:
        print(text, end="")
        return 0
    write_new({path: text.encode()}, "choose another title or date")
    print(path)
    return 0


def next_date(warm_ups: Sequence[Text[WarmUpFields]], today: date) -> str | None:
    """The date of the next warm-up, as 2026-12-03: one week after the last warm-up or, if that is
    past, as many more weeks as it takes to reach today. None if there is no warm-up."""
    if not warm_ups:
        return None
    day = warm_ups[-1].front.day + timedelta(weeks=1)
    if day < today:
        day += timedelta(days=-(-(today - day).days // WEEK) * WEEK)
    return day.isoformat()


def _refuse_past(given: str | None, today: date) -> None:
    """Raise WrongUsageError if the option --date names a day that is past. What cannot be read as a
    day is told later, with the other questions."""
    try:
        day = read_day(given, today) if given else today
    except ValueError:
        return
    if day < today:
        raise WrongUsageError(
            f"--date: {named_day(day)} is past, and a suggestion is for an evening to come; "
            "`handbook plan` also writes the file of a warm-up that has been sung"
        )


def _file_text(
    evening: dict[str, Any],
    options: argparse.Namespace,
    request: Request,
    suggestion: Suggestion,
    warm_ups: Sequence[Text[WarmUpFields]],
) -> str:
    """The text of the warm-up's file."""
    cut = cut_order(suggestion.blocks[0], suggestion.order, request)
    items = [
        one.candidate.written.model_copy(
            update={"if_time": cut.index(place) + 1 if place in cut else None}
        )
        for place, one in enumerate(suggestion.choices)
    ]
    last = warm_ups[-1] if warm_ups else None
    further: list[tuple[str, Value]] = [*copied_fields(options, last)]
    music: dict[str, str | Sequence[str]] = {}
    if options.piece:
        music["piece"] = options.piece
    if request.goals:
        music["goals"] = request.goals
    for name, value in (
        ("leads_into", music),
        ("present", request.present),
        ("few", request.few),
        ("there", request.there),
        ("join_in", join_in(suggestion.order)),
    ):
        if value:
            further.append((name, value))
    return draft(
        title=evening["title"],
        date=evening["date"],
        starts=evening["starts"],
        minutes=evening["minutes"],
        items=items,
        further=further,
        item_fields=("at", *COPIED, "if_time"),
    )


def _problems(text: str, slug: str, shown: str, book: Handbook) -> list[Problem]:
    """The problems that `handbook check` would report because of the new file: those in it, and
    those that it causes in other files. `shown` is its path in messages."""
    _, written, _, problems = read_written(WARM_UP, text, slug, shown)
    if written is None or problems:
        return list(problems)
    before, after = (
        check_warm_ups(texts, book.exercises, book.entries, book.config)
        for texts in (book.texts, [*book.texts, written])
    )
    return [problem for problem in after if problem not in before]
