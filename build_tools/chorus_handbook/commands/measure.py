"""`handbook measure`: prints what an exercise asks of each voice, as text or JSON: the range,
intervals, phrases, length, and the load in each of its keys.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import PurePath

from chorus_handbook import report
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.music.facts_json import facts_as_json, facts_as_text
from chorus_handbook.problems import did_you_mean
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
    own_problems = [p for p in book.problems if PurePath(p.place.path).stem == slug]
    if own_problems:
        print(report.as_text(own_problems), file=sys.stderr)
    if exercise is None or exercise.facts is None:
        reason = (
            "it could not be read" if own_problems else "it has no notation, so nothing to measure"
        )
        print(f"{slug}: {reason}.", file=sys.stderr)
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
