"""`handbook check`: checks every file of the handbook and prints the problems.

All files are always read, because a problem may lie between two files. If files are named, only the
problems in these are printed.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from chorus_handbook import pipeline, report
from chorus_handbook.commands.gaps import gaps_as_text
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.problems import has_errors
from chorus_handbook.source import shown_path
from chorus_handbook.source.text import LARGEST_FILE, in_place_of

SUMMARY = "Check every file of the handbook and say what is wrong, where, and what to do"

_FORMATS = {
    "text": report.as_text,
    "json": report.as_json,
    "github": report.as_github,
    "sarif": report.as_sarif,
}
#: The file name that stands for standard input.
_STDIN = "-"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "files",
        nargs="*",
        metavar="FILE",
        help="report only these files, though all are read (default: all); "
        "- to read one from standard input",
    )
    parser.add_argument(
        "--path",
        metavar="FILE",
        help="which file of the handbook the text from standard input is (only with FILE -)",
    )
    parser.add_argument(
        "--format", choices=_FORMATS, default="text", help="text for people (default)"
    )
    parser.add_argument("--strict", action="store_true", help="fail on notices too")
    parser.add_argument(
        "--gaps",
        action="store_true",
        help="also list for which goals, impacts and levels there are few or no exercises, and "
        "which exercises were never sung",
    )


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    if options.gaps and (options.files or options.format != "text"):
        raise WrongUsageError(
            "--gaps always lists all exercises, as text; leave out FILE and --format"
        )
    names, from_input = _requested_files(options.files, options.path)
    files = [_file(name, project) for name in names]
    reading: AbstractContextManager[None] = nullcontext()
    if from_input:
        # One byte more than the limit, so that a longer text is reported.
        reading = in_place_of(files[0], sys.stdin.buffer.read(LARGEST_FILE + 1))
    with reading:
        book = pipeline.read(root, project.cache)
    problems = list(book.problems)
    if files:
        wanted = {shown_path(file, root) for file in files}
        problems = [problem for problem in problems if problem.place.path in wanted]
    text = _FORMATS[options.format](problems)
    if text:
        print(text)
    if options.gaps:
        print(gaps_as_text(book))
    if options.format == "text":
        print(report.summary(problems), file=sys.stderr)
    return int(has_errors(problems) or (options.strict and bool(problems)))


def _requested_files(files: Sequence[str], path: str | None) -> tuple[Sequence[str], bool]:
    """The files named on the command line (`path` is the value of --path), and whether the text of
    the only one is read from standard input instead."""
    if _STDIN not in files:
        if path is not None:
            raise WrongUsageError("--path is for a text from standard input: check - --path FILE")
        return files, False
    if path is None:
        raise WrongUsageError(
            "say which file of the handbook the text on standard input is: check - --path FILE"
        )
    if len(files) > 1:
        raise WrongUsageError('no other file can be checked together with "-" (standard input)')
    return [path], True


def _file(name: str, project: Project) -> Path:
    """The path of the file that is called `name`, relative to the current folder, the project or
    the handbook. Raises WrongUsageError if it is no file of the handbook."""
    root = project.root
    inside = root.resolve()
    found = [path for start in (Path.cwd(), root.parent, root) if (path := start / name).exists()]
    for path in found:
        if path.is_file() and path.resolve().is_relative_to(inside):
            return root / path.resolve().relative_to(inside)
    if not found:
        raise WrongUsageError(f'there is no file "{name}"; save it first, or correct the name')
    if found[0].is_dir():
        raise WrongUsageError(f'"{name}" is a folder; name files, or none to check all')
    raise WrongUsageError(f'"{name}" is not a file of the handbook in "{root}"')
