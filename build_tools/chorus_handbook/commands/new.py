"""`handbook new`: a new exercise file that passes `check` from the start.

What the flags do not say is asked, where there is somebody to ask.
"""

from __future__ import annotations

import argparse
import sys

from chorus_handbook import report
from chorus_handbook.chorus import read_setting
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.questions import add_flags, answers
from chorus_handbook.entries.draft import draft
from chorus_handbook.source.names import as_name

SUMMARY = "Write a new exercise: asks for what it needs, or takes it from flags"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_flags(parser)
    parser.add_argument(
        "--silent", action="store_true", default=None, help="no notation: body, breath, speech"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    setting, problems = read_setting(root)
    if setting.vocabulary is None or setting.chorus is None:
        print(report.as_text(problems), file=sys.stderr)
        print("handbook new: mend these files first.", file=sys.stderr)
        return 1
    known = answers(options, setting.vocabulary)
    path = root / "exercises" / f"{as_name(known['title'])}.md"
    if path.exists():
        raise WrongUsageError(f"{path} is there already; choose another title")
    text = draft(
        title=known["title"],
        summary=known["summary"],
        goals=known["goal"],
        impact=known["impact"],
        sounding=known["sounding"],
        minutes=known["minutes"],
        notated=not known["silent"],
    )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except OSError as failure:
        raise WrongUsageError(f"cannot write {path}: {failure.strerror}") from failure
    print("Written. Fill in what stands in [brackets], then: handbook check", file=sys.stderr)
    print(path)
    return 0
