"""`handbook measure`: prints what an exercise asks of each voice, as text or JSON: the range,
intervals, phrases, length, who can sing which key, and the load (for how long each voice sounds).
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import PurePath

from chorus_handbook import report
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.model import EXERCISE, Source
from chorus_handbook.music.facts_json import facts_as_json, facts_as_text
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Problem, did_you_mean, has_errors
from chorus_handbook.voices.ladder_data import ladder_as_json, ladder_as_text
from chorus_handbook.voices.load import loads_as_json, loads_as_text

SUMMARY = "Print what was measured of one exercise: ranges, intervals, lengths"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("exercise", help="the exercise's file, or its name without .md")
    parser.add_argument("--format", choices=("text", "json"), default="text")


def run(project: Project, options: argparse.Namespace) -> int:
    slug = PurePath(options.exercise).name.removesuffix(".md")
    book = project.read()
    if slug not in book.entries.slugs:
        known = did_you_mean(slug, book.entries.slugs)
        raise WrongUsageError(f'there is no exercise "{options.exercise}".{known}')
    exercise = book.exercises.get(slug)
    source = next((one for one in book.entries.sources if one.slug == slug), None)
    own_problems = _problems_of(slug, source, book)
    if own_problems:
        print(report.as_text(own_problems), file=sys.stderr)
    if exercise is None or exercise.facts is None:
        print(f"{slug}: {_why_not_measured(source, own_problems)}.", file=sys.stderr)
        return 1
    facts, ladder, loads = exercise.facts, exercise.ladder, exercise.loads
    if options.format == "json":
        data = {
            **facts_as_json(facts),
            "ladder": ladder_as_json(ladder) if ladder else [],
            "load": loads_as_json(loads),
        }
        print(json.dumps(data, indent=2))
    else:
        print(facts_as_text(facts))
        tables = [ladder_as_text(ladder) if ladder else "", loads_as_text(loads)]
        for table in filter(None, tables):
            print(f"\n{table}")
    return 0


def _problems_of(slug: str, source: Source | None, book: Handbook) -> list[Problem]:
    """The problems in the file of an exercise and in the score that its field `score` names.
    `source` is None when the file could not be read."""
    files = {f"{book.root.name}/{EXERCISE.page(slug)}"}
    if source and source.notation and source.notation.kind == "score":
        files.add(f"{book.root.name}/{source.notation.text}")
    return [problem for problem in book.problems if problem.place.path in files]


def _why_not_measured(source: Source | None, problems: list[Problem]) -> str:
    """Why there are no measurements of an exercise with these `problems`."""
    if has_errors(problems):
        return "it cannot be measured because of the errors above"
    if source and source.notation is None:
        return "it has no notes, so there is nothing to measure"
    return "it cannot be measured because of errors in other files; see `handbook check`"
