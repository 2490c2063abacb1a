"""What the `handbook` command can do: one module a command, in the order `--help` lists them.

A command module has SUMMARY, `add_arguments(parser)` and `run(project, options) -> exit
code`. It raises WrongUsageError for what the caller got wrong, prints results to standard output
and everything else to standard error.
"""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

#: The commands by name, in the order in which `--help` lists them, and their modules here.
MODULES = {
    "new": "new",
    "import": "importing",
    "check": "check",
    "build": "build",
    "serve": "serve",
    "measure": "measure",
    "tracks": "tracks",
    "schema": "schema",
}


def command(name: str) -> ModuleType:
    """The module of a command. Each is imported only when it is asked for, as some need much."""
    return import_module(f"{__name__}.{MODULES[name]}")
