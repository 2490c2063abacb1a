"""`handbook sung`: writes the log that the music stand saved into the file of its warm-up."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from chorus_handbook import report
from chorus_handbook.commands.files import edited, replace
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.warm_up_names import named_text
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import WARM_UP
from chorus_handbook.problems import Place
from chorus_handbook.source import read_text, read_yaml, validate
from chorus_handbook.warmups.take_over import SungFile, TakeOverError, taken_over
from chorus_handbook.warmups.texts import warm_ups_in

SUMMARY = "Take over what the music stand has saved into the file of its warm-up"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="what the music stand has saved")
    parser.add_argument(
        "--replace", action="store_true", help="write anew what was logged differently before"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    saved = _read(Path(options.file).absolute())
    if saved is None:
        return 1
    book = project.read()
    chorus = book.config.chorus
    if chorus and saved.chorus != chorus.name:
        raise WrongUsageError(
            f'this was sung from the handbook of "{saved.chorus}", and this one is of '
            f'"{chorus.name}"; go to the other one'
        )
    warm_up = named_text(saved.warm_up, warm_ups_in(book.texts))
    path = project.root.parent / warm_up.source.path
    text, problems = read_text(path, warm_up.source.path)
    if text is None:
        print(report.as_text(problems), file=sys.stderr)
        return 1
    try:
        new = taken_over(text, warm_up, saved, replace=options.replace)
    except TakeOverError as reason:
        raise WrongUsageError(str(reason)) from reason
    _, written, _, _ = read_written(WARM_UP, new, warm_up.source.slug, warm_up.source.path)
    logged = [(item.sung, item.top, item.remark) for item in written.front.items] if written else []
    if logged != [(item.sung, item.top, item.remark) for item in saved.items]:
        raise WrongUsageError(
            f"the lines of {warm_up.source.path} could not be told apart; write sung: by hand"
        )
    replace(path, edited(path, text, new))
    count = sum(item.sung == "yes" for item in saved.items)
    print(f"{count} of {len(saved.items)} items sung.", file=sys.stderr)
    print(path)
    return 0


def _read(path: Path) -> SungFile | None:
    """Read a saved log; if it has problems, print them and return None."""
    text, problems = read_text(path, str(path))
    if text is not None:
        document, problems = read_yaml(text, Place(str(path)))
        if document is not None and not problems:
            saved, problems = validate(SungFile, document)
            if saved is not None:
                return saved
    print(report.as_text(problems), file=sys.stderr)
    print("This is not what a music stand saves. Nothing was changed.", file=sys.stderr)
    return None
