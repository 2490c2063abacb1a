"""`handbook new`: a new exercise file that passes `check` from the start.

What the flags do not say is asked, where there is somebody to ask.
"""

from __future__ import annotations

import argparse
import sys

from chorus_handbook import report
from chorus_handbook.chorus import read_setting
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.project import Project
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
        print("handbook new: fix these files first.", file=sys.stderr)
        return 1
    known = answers(options, setting.vocabulary)
    path = root / "exercises" / f"{as_name(known['title'])}.md"
    text = draft(
        title=known["title"],
        summary=known["summary"],
        goals=known["goal"],
        impact=known["impact"],
        sounding=known["sounding"],
        minutes=known["minutes"],
        notated=not known["silent"],
    )
    write_new({path: text.encode()}, "choose another title")
    print("Written. Fill in what stands in [brackets], then: handbook check", file=sys.stderr)
    print(path)
    return 0
