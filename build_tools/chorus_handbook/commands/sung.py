"""`handbook sung`: copies what was sung, as the page "music stand" saved it during a warm-up, from
the saved file into the file of that warm-up in the handbook."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from chorus_handbook import report
from chorus_handbook.commands.days import named_day
from chorus_handbook.commands.files import edited, replace
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.warm_up_names import named_text
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields, read_note
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Place
from chorus_handbook.source import read_text, read_yaml, validate
from chorus_handbook.warmups.take_over import SungFile, TakeOverError, taken_over

SUMMARY = "Write what was sung, as the music stand saved it, into the file of the warm-up"

#: How to tell the file, for messages; the browser saves it under this name (stand_log.js).
_FILE_NAME_HINT = "the name of such a file ends in .sung.yml"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="what the music stand has saved")
    parser.add_argument(
        "--replace",
        action="store_true",
        help="overwrite what the file says differently about what was sung",
    )


def run(project: Project, options: argparse.Namespace) -> int:
    saved = _read(options.file)
    book = project.read()
    chorus = book.config.chorus
    if chorus and saved.chorus != chorus.name:
        raise WrongUsageError(
            f'"{options.file}" is from the handbook of "{saved.chorus}", but this is the handbook '
            f'of "{chorus.name}"; run the command in the folder of the other handbook'
        )
    warm_up = named_text(saved.warm_up, book, (WARM_UP,))
    path = project.root.parent / warm_up.source.path
    text, problems = read_text(path, warm_up.source.path)
    if text is None:
        print(report.as_text(problems), file=sys.stderr)
        return 1
    try:
        new = taken_over(text, warm_up, saved, replace=options.replace)
    except TakeOverError as reason:
        raise WrongUsageError(str(reason)) from reason
    beyond = [*_before_its_day(warm_up, date.today()), *_beyond_plan(saved, warm_up, book)]
    _, written, _, _ = read_written(WARM_UP, new, warm_up.source.slug, warm_up.source.path)
    logged = [(item.sung, item.top, item.remark) for item in written.front.items] if written else []
    if logged != [(item.sung, item.top, item.remark) for item in saved.items]:
        raise WrongUsageError(
            f"the program could not add what was sung to {warm_up.source.path}; "
            'type the lines "sung:" there by hand'
        )
    replace(path, edited(path, text, new))
    for line in beyond:
        print(line, file=sys.stderr)
    count = sum(item.sung == "yes" for item in saved.items)
    print(f"Written: {count} of {len(saved.items)} items were sung.", file=sys.stderr)
    print(path)
    return 0


def _before_its_day(warm_up: Text[WarmUpFields], today: date) -> Iterator[str]:
    """A line if the day of the warm-up has not come yet. That is no error: it may have been sung
    earlier than planned, but then its date is wrong."""
    if warm_up.front.day > today:
        yield (
            f"For your information: {named_day(warm_up.front.day)}, the day of this warm-up, has "
            'not come yet; if it was sung earlier, correct "date" in its file and in the file\'s '
            "name."
        )


def _beyond_plan(saved: SungFile, warm_up: Text[WarmUpFields], book: Handbook) -> Iterator[str]:
    """A line for every item whose highest key was not planned, as when the director went on. That
    is no error as long as the exercise has this key (our choice). Raises WrongUsageError if it does
    not."""
    for planned, item in zip(warm_up.front.items, saved.items, strict=False):
        exercise = book.exercises.get(item.exercise)
        if item.top is None or exercise is None or exercise.facts is None:
            continue
        name = f"{exercise.front.title} ({item.exercise})"
        try:
            top = read_note(item.top).midi
        except ValueError as mistake:
            raise WrongUsageError(f"{name}: {mistake}") from mistake
        keys = {key.midi: key for key in exercise.facts.keys}
        if top not in keys:
            raise WrongUsageError(
                f"{name} is not sung in {item.top}: its keys are between {keys[min(keys)]} and "
                f'{keys[max(keys)]}; correct the line "top:" in the file that the music stand saved'
            )
        path = planned.key_path
        if path and top not in {path.start.midi + step for step in path.semitones()}:
            yield (
                f"For your information: {name} was sung up to {item.top}, but the planned keys "
                f"were {planned.keys}."
            )


def _read(name: str) -> SungFile:
    """Read the file that the music stand saved. Raises WrongUsageError with a single sentence: the
    problems of `handbook check` would give advice for files of the handbook, and this is none of
    them."""
    path = Path(name).absolute()
    if path.is_dir():
        raise WrongUsageError(f'"{name}" is a folder; {_FILE_NAME_HINT}')
    if not os.path.lexists(path):
        raise WrongUsageError(f'there is no file "{name}"; {_FILE_NAME_HINT}')
    text, problems = read_text(path, str(path))
    if text is None and problems and problems[0].code == "file-missing":
        raise WrongUsageError(f'"{name}" cannot be read: {problems[0].message}')
    if text is not None and not problems:
        document, problems = read_yaml(text, Place(str(path)))
        if document is not None and not problems:
            saved, problems = validate(SungFile, document)
            if saved is not None:
                return saved
        if document is not None and SungFile.model_fields.keys() <= document.data.keys():
            line = problems[0].place.line
            raise WrongUsageError(
                f'line {line} of "{name}" is not as the music stand saved it. '
                f"{problems[0].message} {problems[0].hint}"
            )
    raise WrongUsageError(f'"{name}" is not a file that the music stand saved; {_FILE_NAME_HINT}')
