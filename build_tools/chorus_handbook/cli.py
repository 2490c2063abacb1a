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
from chorus_handbook.commands import COMMANDS
from chorus_handbook.commands.project import Project, WrongUsageError


def parser() -> argparse.ArgumentParser:
    """The whole command line; every command adds its own arguments."""
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
    for command in COMMANDS:
        sub = commands.add_parser(
            command.NAME, help=command.SUMMARY, description=command.SUMMARY + "."
        )
        command.add_arguments(sub)
        sub.set_defaults(run=command.run)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code."""
    options = parser().parse_args(arguments)
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
