"""The `handbook` command: which words it takes. What each does stands in `commands/`.

Exit codes: 0 all is well, 1 the handbook has errors (or the work failed), 2 wrong usage.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook import __version__
from chorus_handbook.commands import MODULES, command
from chorus_handbook.commands.project import Project, WrongUsageError


def parser(words: Sequence[str] = ()) -> argparse.ArgumentParser:
    """The whole command line; every command adds its own arguments. When some are named among the
    `words` of a command line, the others stand there by name only."""
    named = [name for name in MODULES if name in words]
    top = argparse.ArgumentParser(
        prog="handbook",
        description="Checks, measures and publishes a chorus's handbook of warm-up exercises.",
        epilog="`handbook COMMAND --help` tells more about one command.",
    )
    top.add_argument("--version", action="version", version=f"handbook {__version__}")
    top.add_argument(
        "--project",
        type=Path,
        default=Path(),
        metavar="DIR",
        help="the folder that holds mkdocs.yml and handbook/ (default: here)",
    )
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in MODULES:
        if named and name not in named:
            commands.add_parser(name)
            continue
        module = command(name)
        sub = commands.add_parser(name, help=module.SUMMARY, description=f"{module.SUMMARY}.")
        module.add_arguments(sub)
        sub.set_defaults(run=module.run)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    options = parser(words).parse_args(words)
    try:
        code: int = options.run(Project(options.project), options)
    except WrongUsageError as mistake:
        print(f"handbook {options.command}: {mistake}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # the reader of our output went away, which is its right
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return code
