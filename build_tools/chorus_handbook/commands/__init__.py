"""The commands of `handbook`, one module for each, and the parser of the command line.

A command module has SUMMARY, `add_arguments(parser)` and `run(project, options)`, which returns the
exit code. It raises WrongUsageError when the user made a mistake, prints results to standard
output, and everything else to standard error.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from types import ModuleType

from chorus_handbook import __version__
from chorus_handbook.commands.usage import CommandLine

#: The commands by name, in the order in which `--help` lists them, and their modules here.
MODULES = {
    "init": "init",
    "new": "new",
    "import": "importing",
    "adopt": "adopt",
    "check": "check",
    "build": "build",
    "serve": "serve",
    "measure": "measure",
    "tracks": "tracks",
    "schema": "schema",
    "plan": "plan",
    "suggest": "suggest",
    "cue": "cue",
    "sung": "sung",
    "renew": "renew",
}


def command(name: str) -> ModuleType:
    """The module of a command. It is imported only when it is needed, because some import large
    libraries."""
    return import_module(f"{__name__}.{MODULES[name]}")


def parser(words: Sequence[str] = ()) -> argparse.ArgumentParser:
    """The parser of the whole command line. Given the `words` of a command line, it imports
    only the commands that are named there; the others are known by name alone."""
    named = [name for name in MODULES if name in words]
    top = CommandLine(
        prog="handbook",
        description="Checks, measures and publishes a chorus's handbook of warm-up exercises.",
        epilog="`handbook COMMAND --help` tells more about one command.",
    )
    top.add_argument("--version", action="version", version=f"handbook {__version__}")
    _add_project(top, Path())
    if named:
        top.help_of = f"handbook {named[0]}"
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in MODULES:
        if named and name not in named:
            commands.add_parser(name)
            continue
        module = command(name)
        sub = commands.add_parser(name, help=module.SUMMARY, description=f"{module.SUMMARY}.")
        # Without a default, so that it does not overwrite a --project before the command.
        _add_project(sub, argparse.SUPPRESS)
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
