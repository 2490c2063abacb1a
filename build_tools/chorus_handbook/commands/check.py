"""`handbook check`: hold everything against everything and print what is wrong."""

from __future__ import annotations

import argparse
import sys

from chorus_handbook import pipeline, report
from chorus_handbook.commands.project import Project
from chorus_handbook.problems import has_errors

SUMMARY = "Check every file of the handbook and say what is wrong, where, and what to do"

_FORMATS = {"text": report.as_text, "json": report.as_json, "github": report.as_github}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--format", choices=_FORMATS, default="text", help="text for people (default)"
    )
    parser.add_argument("--strict", action="store_true", help="fail on notices too")


def run(project: Project, options: argparse.Namespace) -> int:
    problems = pipeline.check(project.root)
    text = _FORMATS[options.format](problems)
    if text:
        print(text)
    if options.format == "text":
        print(report.summary(problems), file=sys.stderr)
    return int(has_errors(problems) or (options.strict and bool(problems)))
