"""What the `handbook` command can do: one module a command, in the order `--help` lists them.

A command module has NAME, SUMMARY, `add_arguments(parser)` and `run(project, options) -> exit
code`. It raises WrongUsageError for what the caller got wrong, prints results to standard output
and everything else to standard error.
"""

from __future__ import annotations

from chorus_handbook.commands import build, check, importing, measure, new, schema, serve

COMMANDS = (new, importing, check, build, serve, measure, schema)
