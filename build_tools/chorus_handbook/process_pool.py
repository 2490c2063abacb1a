"""A pool of processes that share work out over the processors.

Each is spawned, not forked, and ends when this process does, even if it is killed: a process left
behind would work on for nobody, or keep a pipe open so that its reader waits for ever.
"""

from __future__ import annotations

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
P = ParamSpec("P")
T = TypeVar("T")


def processes() -> int:
    """How many processes may work at once: HANDBOOK_PROCESSES, or one for each processor."""
    told = os.environ.get(PROCESSES, "")
    return max(int(told), 1) if told.isdigit() else os.cpu_count() or 1


class ProcessPool(ProcessPoolExecutor):
    """A pool of `count` processes, for a `with` block. If the block ends by an exception, an
    interrupt for instance, processes that still work are killed."""

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
        """As `Executor.submit`. Processes are started here, with interrupts held back."""
        with _interrupts_held():
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
def _interrupts_held() -> Iterator[None]:
    """Block SIGINT. Ctrl-C reaches every process of a terminal; those started in this block inherit
    the mask and never answer it. This process gets it when the block ends."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(language: str) -> None:
    """In the new process: let go of the other's streams, speak its language, and end when it
    does."""
    catalogue.use(language)
    with Path(os.devnull).open("r+b") as nowhere:
        for stream in (0, 1, 2):
            os.dup2(nowhere.fileno(), stream)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    assert parent is not None
    wait([parent.sentinel])
    os._exit(1)
