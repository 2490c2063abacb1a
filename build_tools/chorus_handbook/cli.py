"""The entry point of the `handbook` command.

Exit codes: 0 success; 1 the handbook has errors, or the work failed; 2 wrong usage; 128 plus the
signal's number when a signal ended the program. Commands catch an exception only if they can say
more about it: every other exception arrives here and is printed as one plain line.
"""

from __future__ import annotations

# Import only modules that Python has loaded already. All others are imported within `main`, which
# handles an interrupt during the import.
import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code. Without `arguments`, use those of this process, and
    first prepare its streams and signals."""
    own_process = arguments is None
    words = sys.argv[1:] if arguments is None else [*arguments]
    name = ["handbook"]
    try:
        code = _run_and_report(words, name, own_process)
        if own_process:
            _release()
    except BaseException as failure:  # a signal that came while another failure was reported
        code = _end(failure, " ".join(name))
        if own_process:
            _release()
    return code


def _run_and_report(words: list[str], name: list[str], own_process: bool) -> int:
    """Run the command and return its exit code. A failure is printed."""
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
    """Flush the streams and ignore signals from now on, so that the process can end undisturbed."""
    from chorus_handbook.process_streams import release

    release()


def _run(words: list[str], name: list[str]) -> int:
    """Run the command with these arguments. Its name is appended to `name`, which begins the line
    that reports a failure."""
    from pathlib import Path

    from chorus_handbook.commands import MODULES, parser
    from chorus_handbook.commands.project import Project, WrongUsageError

    # The first guess at the name, in case the command line has a mistake.
    name += [word for word in words if word in MODULES][:1]
    try:
        options = parser(words).parse_args(words)
    except SystemExit as left:  # --help or --version: argparse has printed it
        return left.code if isinstance(left.code, int) else 1
    name[1:] = [options.command]
    try:
        Path.cwd()
    except FileNotFoundError as gone:
        raise WrongUsageError(
            "the folder you are in has been deleted or moved; go to another one first (cd)"
        ) from gone
    code: int = options.run(Project(options.project), options)
    return code


def _end(failure: BaseException, name: str) -> int:
    """Print the line that says what happened, and return the exit code."""
    from chorus_handbook.failures import describe
    from chorus_handbook.process_streams import real_failure

    text, code = describe(real_failure(failure))
    print(f"{name}: {text}", file=sys.stderr)
    return code
