"""The `handbook` command: from the words that were typed to an exit code.

Exit codes: 0 all is well, 1 the handbook has errors (or the work failed), 2 wrong usage, 128 and
the signal's number when a signal ended it. Whatever fails, in whichever command, ends here in one
plain line on standard error; a command catches only what it can say more about.
"""

from __future__ import annotations

# At the top stands only what Python has loaded by itself: an import in `main` may be interrupted.
import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code. Without `arguments` it takes those of this process,
    and prepares its streams and signals first."""
    own_process = arguments is None
    words = sys.argv[1:] if arguments is None else [*arguments]
    name = ["handbook"]
    try:
        code = _run_and_report(words, name, own_process)
        if own_process:
            _release()
    except BaseException as failure:  # a signal during the last steps
        code = _end(failure, " ".join(name))
        if own_process:
            _release()
    return code


def _run_and_report(words: list[str], name: list[str], own_process: bool) -> int:
    try:
        if own_process:
            from chorus_handbook.process_streams import prepare

            prepare()
        code = _run(words, name)
        if own_process:
            sys.stdout.flush()  # so that a full disk shows here
    except BaseException as failure:
        code = _end(failure, " ".join(name))
    return code


def _release() -> None:
    from chorus_handbook.process_streams import release

    release()


def _run(words: list[str], name: list[str]) -> int:
    """Run the command that the words name, and append it to `name`, which failures are reported
    under."""
    from pathlib import Path

    from chorus_handbook.commands import parser
    from chorus_handbook.commands.project import Project, WrongUsageError

    try:
        options = parser(words).parse_args(words)
    except SystemExit as left:  # wrong usage, or --help: argparse has printed it
        return left.code if isinstance(left.code, int) else 1
    name.append(options.command)
    try:
        Path.cwd()
    except FileNotFoundError as gone:
        raise WrongUsageError(
            "the folder you are in has been deleted or moved; go to another one first (cd)"
        ) from gone
    code: int = options.run(Project(options.project), options)
    return code


def _end(failure: BaseException, name: str) -> int:
    """Print the one line that says what happened; returns the exit code."""
    from chorus_handbook.failures import describe

    text, code = describe(failure)
    print(f"{name}: {text}", file=sys.stderr)
    return code
