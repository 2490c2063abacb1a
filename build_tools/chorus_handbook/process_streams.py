"""Makes the standard streams, the encoding of file names and signals safe for the `handbook`
command.

Standard output may be closed, full, without a reader, or unable to show most characters. In each
case a command must still finish its work and return its exit code.
"""

from __future__ import annotations

import io
import os
import select
import signal
import sys
from contextlib import suppress
from types import FrameType
from typing import Any

from chorus_handbook.failures import EndedError

#: Signals by which a person, a system or a closed terminal ends a program.
_ENDINGS = [
    signal.Signals[name]
    for name in ("SIGINT", "SIGTERM", "SIGHUP")
    if name in signal.Signals.__members__
]
#: Whether `release` was called; from then on signals are ignored.
_state = {"released": False}
#: The signals that have raised an exception.
_raised: list[signal.Signals] = []
#: Seconds after which a signal that came at a bad moment is delivered again.
_REDELIVERY_DELAY = 0.02


def prepare() -> None:
    """Make streams, encoding and signals safe. Call it once, before anything is read or written."""
    for number in _ENDINGS:
        if signal.getsignal(number) is not signal.SIG_IGN:  # as it is under nohup
            signal.signal(number, _end)
    sys.unraisablehook = _deliver_again
    _open_closed_streams()
    _restart_in_utf8()
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(encoding="utf-8", errors="surrogateescape")
    sys.stdout = _stream(sys.stdout, 1)
    sys.stderr = _stream(sys.stderr, 2)


def release() -> None:
    """Flush the streams, and ignore signals from now on, so that Python's own shutdown is not
    interrupted. Call it last."""
    _state["released"] = True
    for number in _ENDINGS:
        signal.signal(number, signal.SIG_IGN)
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, 0)
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):  # what could not be written has been reported by now
            stream.flush()


def _end(number: int, frame: FrameType | None) -> None:
    """The handler of signals: raise an exception, but not in the middle of an import, because
    extension modules may then crash."""
    if _state["released"]:
        return
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib") and _deliver_later(number):
            return
        frame = frame.f_back
    _raised.append(signal.Signals(number))
    raise ending(_raised[-1])


def ending(number: signal.Signals) -> BaseException:
    """The exception that a signal raises."""
    return KeyboardInterrupt() if number == signal.SIGINT else EndedError(number)


def real_failure(failure: BaseException) -> BaseException:
    """What really ended the program: the signal, if one came. Compiled code of a library may turn
    the exception of a signal into one of its own, which then looks like an error of ours."""
    return ending(_raised[-1]) if _raised else failure


def _deliver_later(number: int) -> bool:
    """Deliver a signal again soon. Returns False where the system has no timers."""
    if not hasattr(signal, "setitimer"):
        return False
    signal.signal(signal.SIGALRM, lambda _, frame: _end(number, frame))
    signal.setitimer(signal.ITIMER_REAL, _REDELIVERY_DELAY)
    return True


def _deliver_again(lost: Any) -> None:
    """Called by Python for an exception that it drops, because it was raised during clean-up. If a
    signal was the reason for the exception, deliver the signal again."""
    if isinstance(lost.exc_value, KeyboardInterrupt):
        _deliver_later(signal.SIGINT)
    elif isinstance(lost.exc_value, EndedError):
        _deliver_later(lost.exc_value.number)
    else:
        sys.__unraisablehook__(lost)


def _open_closed_streams() -> None:
    """Connect closed standard streams to the null device. Otherwise the next file to be opened
    would get the stream's number, and printed text would go into that file."""
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # gets the lowest number that is free: this one
        if getattr(sys, name) is None:
            stream = open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115
            setattr(sys, name, stream)


def _restart_in_utf8() -> None:
    """Start Python again in its UTF-8 mode (PEP 540) if it would read file names and arguments in
    another encoding, as in the locale C. Printed text keeps the encoding of the terminal."""
    if os.name != "posix" or sys.getfilesystemencoding() == "utf-8":
        return
    os.environ["PYTHONIOENCODING"] = f"{sys.stdout.encoding}:backslashreplace"
    os.execv(sys.executable, [sys.executable, "-X", "utf8", *sys.orig_argv[1:]])


def _stream(old: Any, number: int) -> io.TextIOWrapper:
    """A safe replacement for the standard stream `old`, which has this number."""
    windows = sys.platform == "win32"
    if windows and isinstance(old, io.TextIOWrapper) and old.isatty():
        # Keep Python's stream: it passes text to the console, which would show bytes wrongly.
        old.reconfigure(errors="backslashreplace")
        return old
    return io.TextIOWrapper(
        io.BufferedWriter(_Output(number)),
        encoding="utf-8" if windows else old.encoding,
        errors="backslashreplace",
        line_buffering=number == 2 or old.isatty(),
    )


class _Output(io.RawIOBase):
    """The standard stream with this number. Once its reader is gone, text is dropped, so that the
    command can finish. Any other failure to write is raised once, but only for standard output:
    for standard error there is nowhere to report it."""

    def __init__(self, number: int) -> None:
        self._number = number
        self._failed = False

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self._number

    def isatty(self) -> bool:
        return os.isatty(self._number)

    def write(self, data: Any) -> int:
        while not self._failed:
            try:
                return os.write(self._number, data)
            except BlockingIOError:  # a full pipe: wait until it takes more
                select.select([], [self._number], [])
            except OSError as failure:
                self._failed = True
                if self._number == 1 and not isinstance(failure, BrokenPipeError):
                    raise OSError(failure.errno, failure.strerror, "standard output") from failure
        return len(data)
