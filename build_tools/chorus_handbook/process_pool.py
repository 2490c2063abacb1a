"""A pool of processes that use all processors: Python's `ProcessPoolExecutor`, whose processes
always end with the main process.

They end even if the main process is killed. Otherwise one of them could go on working although
nobody needs the result, or keep a pipe open, so that the program that reads from the pipe waits for
ever. An interrupt (Ctrl-C) is handled by the main process alone.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing.connection import wait
from pathlib import Path
from types import TracebackType
from typing import ParamSpec, TypeVar

from chorus_handbook import catalogue

#: The environment variable that sets how many processes work at once; without it, one for each
#: processor.
PROCESSES = "HANDBOOK_PROCESSES"
#: How many new objects start a run of Python's garbage collector. A build makes hundreds of
#: thousands of objects that live to its end; with Python's own limit, the collector would look
#: through them many times for nothing.
_COLLECT_AFTER = 50_000
P = ParamSpec("P")
T = TypeVar("T")


def processes() -> int:
    """How many processes may work at once: HANDBOOK_PROCESSES, or one for each processor."""
    count = os.environ.get(PROCESSES, "")
    return max(int(count), 1) if count.isdigit() else os.cpu_count() or 1


def collect_rarely() -> None:
    """Run Python's garbage collector rarely in this process, which makes many lasting objects."""
    gc.set_threshold(_COLLECT_AFTER)


class ProcessPool(ProcessPoolExecutor):
    """A pool of `count` processes, for use in a `with` block. If the block ends with an exception,
    such as an interrupt, processes that are still working are killed."""

    def __init__(self, count: int) -> None:
        super().__init__(
            count,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=_begin,
            initargs=(catalogue.language(),),
        )

    def submit(
        self, function: Callable[P, T], /, *arguments: P.args, **named: P.kwargs
    ) -> Future[T]:
        """Call `function` with these arguments in one of the processes. The result is a future with
        its return value or exception.

        The first calls also start the processes. While they do, interrupts are blocked, so that the
        new processes do not receive them.
        """
        with _interrupts_blocked():
            return super().submit(function, *arguments, **named)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        failure: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is not None:
            for process in multiprocessing.active_children():
                process.kill()
        self.shutdown(cancel_futures=True)


@contextmanager
def _interrupts_blocked() -> Iterator[None]:
    """Block SIGINT (Ctrl-C) within a `with` block. A terminal sends it to every process. Processes
    that are started in this block inherit the blocking and never receive it; this process receives
    it when the block ends."""
    if not hasattr(signal, "pthread_sigmask"):  # on Windows
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(language: str) -> None:
    """Called first in each new process: use the same language as the main process, close its
    streams, and end when it ends."""
    catalogue.use(language)
    collect_rarely()
    with Path(os.devnull).open("r+b") as nowhere:
        for stream in (0, 1, 2):
            os.dup2(nowhere.fileno(), stream)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Wait until the main process has ended, then end this one at once."""
    parent = multiprocessing.parent_process()
    assert parent is not None
    wait([parent.sentinel])
    os._exit(1)
