"""`handbook schema`: the JSON Schema of an exercise's front matter, for editors."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.schema import json_schema

SUMMARY = "Print the JSON Schema of an exercise's front matter, so that editors can help"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--output", type=Path, metavar="FILE", help="write it to a file")


def run(project: Project, options: argparse.Namespace) -> int:
    text = json.dumps(json_schema(), ensure_ascii=False, indent=2) + "\n"
    if options.output is None:
        print(text, end="")
        return 0
    try:
        options.output.write_text(text, encoding="utf-8")
    except OSError as failure:
        raise WrongUsageError(f"cannot write {options.output}: {failure.strerror}") from failure
    return 0
