"""Which words the `handbook` command takes. What each command does stands in `commands/`."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook import __version__
from chorus_handbook.commands import MODULES, command


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
    _add_project(top, Path())
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in MODULES:
        if named and name not in named:
            commands.add_parser(name)
            continue
        module = command(name)
        sub = commands.add_parser(name, help=module.SUMMARY, description=f"{module.SUMMARY}.")
        _add_project(
            sub, argparse.SUPPRESS
        )  # left out, it must not undo the one before the command
        module.add_arguments(sub)
        sub.set_defaults(run=module.run)
    return top


def _add_project(parser: argparse.ArgumentParser, default: object) -> None:
    parser.add_argument(
        "--project",
        type=Path,
        default=default,
        metavar="DIR",
        help="the folder that holds mkdocs.yml and handbook/ (default: here)",
    )
