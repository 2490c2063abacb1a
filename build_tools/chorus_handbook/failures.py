"""Turns whatever exception ends a command into one plain line and an exit code. Only an error in
the program itself may show a traceback, and only on request (`DEBUG`)."""

from __future__ import annotations

import errno
import os
import signal

#: The environment variable with which errors in the program itself show a traceback.
DEBUG = "HANDBOOK_DEBUG"

#: The system's error numbers in plain words.
_REASONS = {
    errno.EACCES: "you may not read or write it; look at its permissions",
    errno.EPERM: "the system does not permit it",
    errno.ENOENT: "there is no such file or folder",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EROFS: "this disk is read-only",
    errno.EISDIR: "this is a folder, but a file is needed",
    errno.ENOTDIR: "there is a file where a folder is needed",
    errno.EEXIST: "there is already a file or folder with that name",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ELOOP: "its symbolic links lead in a circle",
    errno.EMFILE: "too many files are open",
    errno.ENFILE: "too many files are open on this computer",
    errno.ENOMEM: "there is not enough memory",
    errno.EAGAIN: "the system allows no more processes or threads; try again later",
    errno.EIO: "the disk reports an error",
}


class EndedError(BaseException):
    """A signal asked this process to end. This is not an `Exception`, so that code that catches
    failures of the work lets it pass."""

    def __init__(self, number: signal.Signals) -> None:
        super().__init__(number)
        self.number = number


def describe(failure: BaseException) -> tuple[str, int]:
    """The line to print after the command's name, and the exit code. With HANDBOOK_DEBUG set, an
    error in the program itself is raised again, to show its traceback."""
    from chorus_handbook.commands.project import WrongUsageError  # late: it imports much more

    match failure:
        case WrongUsageError():
            return str(failure), 2
        case KeyboardInterrupt():
            return "interrupted.", 128 + signal.SIGINT
        case EndedError(number=number):
            return f"ended from outside ({number.name}).", 128 + number
        case OSError():
            text = os_reason(failure)
        # raised by pathlib as "Symlink loop from 'PATH'"
        case RuntimeError(args=(str(words),)) if words.startswith("Symlink loop"):
            text = f"{words.partition(' from ')[2]}: {_REASONS[errno.ELOOP]}"
        case MemoryError():
            text = "there is not enough memory."
        case UnicodeEncodeError(object=name):
            text = f"{ascii(name)[:80]} is not UTF-8; retype it, or rename the file"
        case _ if os.environ.get(DEBUG):
            raise failure
        case _:
            text = (
                f"there is an error in the program; it is not your mistake ({one_line(failure)}). "
                f"Please run it again with {DEBUG}=1 before the command, and report what it prints."
            )
    return text, 1


def os_reason(failure: OSError) -> str:
    """A failure of the system in words: "FILE: reason", or only the reason without a file."""
    reason = _REASONS.get(failure.errno or 0) or failure.strerror or one_line(failure)
    name = failure.filename2 or failure.filename
    return f"{os.fsdecode(name)}: {reason}" if isinstance(name, (str, bytes)) else reason


def one_line(failure: BaseException) -> str:
    """The type of an exception and the start of its text, on one line."""
    words = " ".join(str(failure).split())
    return f"{type(failure).__name__}: {words[:200]}" if words else type(failure).__name__
