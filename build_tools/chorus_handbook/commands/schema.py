"""`handbook schema`: writes the JSON Schema of an exercise's fields, with which text editors
complete and check them.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from chorus_handbook.commands import files
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.schema import json_schema

SUMMARY = "Print the JSON Schema of an exercise's fields, with which text editors help to fill them"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--output", type=Path, metavar="FILE", help="write it to a file")


def run(project: Project, options: argparse.Namespace) -> int:
    schema = json_schema()
    text = json.dumps(schema, indent=2) + "\n"
    if options.output is None:
        print(text, end="")
        return 0
    if not options.output.absolute().parent.is_dir():
        raise WrongUsageError(f'there is no folder "{options.output.parent}"; make it first')
    if options.output.exists() and not _is_ours(options.output, schema):
        raise WrongUsageError(
            f'"{options.output}" exists already and contains something else; name another file'
        )
    files.replace(options.output, text.encode())
    return 0


def _is_ours(path: Path, schema: dict[str, Any]) -> bool:
    """Whether a file is a schema that this command wrote, in this or an earlier version."""
    if not path.is_file():
        return False
    try:
        found = json.loads(path.read_bytes())
    except ValueError:
        return False
    marks = ("$schema", "title")
    return isinstance(found, dict) and all(found.get(mark) == schema[mark] for mark in marks)
