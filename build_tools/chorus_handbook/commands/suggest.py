"""`handbook suggest`: writes the file of the best warm-up for an evening, and says why each of its
exercises was chosen."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, get_args

from chorus_handbook import report
from chorus_handbook.commands.days import named_day
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.plan import copied_fields, evening_questions
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.questions import Known, answers
from chorus_handbook.commands.suggest_request import read_request
from chorus_handbook.commands.usage import number_from
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import WARM_UP, Occasion, WarmUpFields
from chorus_handbook.pages.swap_words import reason_words as reason_phrase
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.names import as_name
from chorus_handbook.warmups import check_warm_ups
from chorus_handbook.warmups.clock import timetable, total
from chorus_handbook.warmups.draft import COPIED, Value, draft
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.suggesting import NothingRightError, Suggestion, conflict, suggest
from chorus_handbook.warmups.suggesting.candidates import Stock, as_text
from chorus_handbook.warmups.suggesting.finishing import cut_order, join_in
from chorus_handbook.warmups.suggesting.reasons import reason_words, reasons_for
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stock import contradictions, stock_before
from chorus_handbook.warmups.swaps import swaps
from chorus_handbook.warmups.texts import warm_ups_in
from chorus_handbook.warmups.tonight import Tonight

SUMMARY = "Write the file of the best warm-up for an evening, with the reasons for each choice"

#: How many exercises to name that could stand in the place of another.
_MOST_SWAPS = 2
#: The largest number for --seed.
_LARGEST_SEED = 9999


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--date", help="such as 2026-12-10; else a week after the last one")
    parser.add_argument("--minutes", help="how long it may take; else as the last one")
    parser.add_argument("--starts", help="the time of day, such as 19:30; else as the last one")
    parser.add_argument("--title")
    parser.add_argument("--kind", choices=get_args(Occasion), help="else weekly")
    for flag, metavar, text in (
        ("--lead-into", "GOAL", "a goal of the music that follows"),
        ("--keep", "EXERCISE", "an exercise that is in it"),
        ("--avoid", "NAME", "an exercise, a goal or a manner of sounding that is not in it"),
        ("--present", "VOICE", "a voice or group that is there; else everybody"),
        ("--few", "VOICE", "a voice with one or two singers"),
        ("--there", "HOURS", 'when a voice comes or leaves, such as "bass from 19:40"'),
    ):
        help_text = f"{text}; may be given repeatedly"
        parser.add_argument(flag, action="append", metavar=metavar, help=help_text)
    parser.add_argument("--piece", help="the music that follows")
    parser.add_argument(
        "--tired", action="store_true", help="voices are tired: only what is gentle"
    )
    parser.add_argument(
        "--seed",
        type=number_from(0, _LARGEST_SEED),
        default=0,
        metavar="NUMBER",
        help="another number, another suggestion that is nearly as good",
    )
    parser.add_argument(
        "--dry-run", action="store_true", help="print the file instead of writing it"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    book = project.read()
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    if chorus is None or vocabulary is None:
        print(report.as_text(book.problems), file=sys.stderr)
        print("handbook suggest: fix these files first.", file=sys.stderr)
        return 1
    warm_ups = warm_ups_in(book.texts)
    questions = [replace(one, optional=True) for one in evening_questions(warm_ups, options.kind)]
    evening = answers(options, Known(vocabulary, book.entries, book.root), questions)
    request = read_request(options, evening, book)
    for sentence in contradictions(warm_ups, date.today()):
        print(f"For your information: {sentence}", file=sys.stderr)
    stock = stock_before(request.day, book.exercises, chorus, vocabulary, warm_ups)
    try:
        suggestion = suggest(request, stock)
    except NothingRightError as gone:
        raise WrongUsageError(
            "every choice that was tried draws a notice of `handbook check`; ask for other "
            "minutes, or for another --seed"
        ) from gone
    if suggestion is None:
        raise WrongUsageError(_impossible(request, stock))
    text = _file_text(evening, options, request, suggestion, warm_ups)
    path = book.root / WARM_UP.page(f"{evening['date']}-{as_name(evening['title']) or 'warm-up'}")
    problems = _problems(text, path.stem, shown_path(path, book.root), book)
    if errors := [problem for problem in problems if problem.severity == "error"]:
        first = errors[0]  # may be in the file of another warm-up on that day
        raise WrongUsageError(f"{first.place.path}: {first.message} {first.hint}")
    for line in _explanation(request, suggestion, stock):
        print(line, file=sys.stderr)
    if problems:
        print(report.as_text(problems), file=sys.stderr)
    if options.dry_run:
        print(text, end="")
        return 0
    write_new({path: text.encode()}, "choose another title or date")
    print(path)
    return 0


def _impossible(request: Request, stock: Stock) -> str:
    """The message that says why no warm-up meets the request."""
    conflicting = conflict(request, stock)
    if not conflicting:
        return (
            "the exercises of this handbook make no warm-up: one begins with an item for the body "
            "or the breath, or a gentle one (impact 2), and something is sung. Add such exercises: "
            "`handbook new`"
        )
    words = [one.words for one in conflicting]
    if len(words) == 1:
        return f"the exercises of this handbook make no warm-up that meets this: {words[0]}"
    return (
        f"these wishes do not go together: {', '.join(words[:-1])} and {words[-1]}. Give up any "
        "one of them, and there is a warm-up"
    )


def _file_text(
    evening: dict[str, Any],
    options: argparse.Namespace,
    request: Request,
    suggestion: Suggestion,
    warm_ups: Sequence[Text[WarmUpFields]],
) -> str:
    """The text of the warm-up's file."""
    cut = cut_order(suggestion.choices, suggestion.order, request)
    items = [
        one.candidate.written.model_copy(
            update={"if_time": cut.index(place) + 1 if place in cut else None}
        )
        for place, one in enumerate(suggestion.choices)
    ]
    last = warm_ups[-1] if warm_ups else None
    further: list[tuple[str, Value]] = [*copied_fields(options.kind, last)]
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
        item_fields=(*COPIED, "if_time"),
    )


def _problems(text: str, slug: str, shown: str, book: Handbook) -> list[Problem]:
    """The problems that `handbook check` would report only because of the new file."""
    _, written, _, problems = read_written(WARM_UP, text, slug, shown)
    if written is None or problems:
        return list(problems)
    before, after = (
        check_warm_ups(texts, book.exercises, book.entries, book.config)
        for texts in (book.texts, [*book.texts, written])
    )
    return [problem for problem in after if problem not in before]


def _explanation(request: Request, suggestion: Suggestion, stock: Stock) -> Iterator[str]:
    """The lines that say what was chosen, and why."""
    order, choices = suggestion.order, suggestion.choices
    time = total(order.items) / MINUTE
    yield f"Suggested for {named_day(request.day)}: {time:.0f} of {request.minutes:g} minutes."
    tonight = Tonight(
        as_text(request, [one.candidate.written for one in choices]),
        stock.numbers,
        stock.chorus,
        stock.vocabulary,
        stock.log,
    )
    for place, (item, slot) in enumerate(zip(order.items, timetable(order.items), strict=True)):
        words = [
            reason_words(reason, stock.vocabulary)
            for reason in reasons_for(place, choices, request)
        ]
        minute, second = divmod(slot.begins // SECOND, 60)
        yield f"{minute:3}:{second:02}  {item.title} ({item.slug}): {'; '.join(words)}."
        goal = stock.vocabulary.goals[item.main_goal].label
        if not item.keep and (instead := [*_swaps(tonight, place, goal)][:_MOST_SWAPS]):
            yield f"        or {' or '.join(instead)}"
    solution = suggestion.solution
    if solution.proven:
        yield "No other choice of these exercises is worth more by our weights."
    else:
        yield f"Another choice could be worth more by {100 * solution.gap:.1f} % at most."


def _swaps(tonight: Tonight, place: int, goal: str) -> Iterator[str]:
    """What could stand there instead, each with its strongest reason. `goal` is the label of the
    item's main goal."""
    order = tonight.order(tonight.items)
    own = tonight.candidate(tonight.items[place], order.items[place].there)
    for swap in swaps(order, place, own, tonight.candidates(tonight.items, place)):
        keys = f" in {swap.keys}" if swap.keys else ""
        yield f"{swap.item.slug}{keys} ({reason_phrase(swap.reasons[0], goal)})"
