"""Runs functions on files from strangers in a separate process, with limits of time and memory.

A damaged file may crash a C++ library, hang it, or make it use all memory. `call` therefore runs a
function in another process, which is reused for further calls and replaced after one that failed.
Requests and answers are JSON, so that nothing the process sends can run code here.

This module is used on both sides: `call` and `Worker` in the main process, `serve` in the other.
"""

from __future__ import annotations

import atexit
import contextlib
import faulthandler
import importlib
import json
import os
import queue
import signal
import struct
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import IO, Any, Literal

#: Why a call has no answer: it took too long, it needed too much memory, it ended the process, or
#: the function raised an exception.
Reason = Literal["time", "memory", "crash", "raised"]


class WorkerError(Exception):
    """A call that ended without an answer. Its text completes a sentence about the file ("the file
    ..."), such as "took longer than 10 seconds"."""

    def __init__(self, reason: Reason, message: str) -> None:
        super().__init__(message)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Limits:
    """The most time that one call may take, in seconds, and the most memory that the process may
    use, in bytes (on systems that can limit it)."""

    seconds: float = 10
    memory: int = 1 << 30


#: Seconds within which Python must start and import libraries, on a busy computer.
_START_SECONDS = 60
#: Seconds after its time limit at which the process ends by itself, if nobody has ended it.
_GRACE_SECONDS = 2
#: Each message begins with its length in bytes, as a number of eight bytes.
_LENGTH = struct.Struct(">Q")
#: Characters of an error's text that are sent back.
_LONGEST_MESSAGE = 300
#: The Python code that the other process starts with. It uses this process's path for modules.
_START = (
    "import sys\nsys.path[:] = sys.argv[1:]\nfrom chorus_handbook.worker import serve\nserve()\n"
)
#: Without these, libraries of linear algebra reserve memory for every processor, and that memory
#: counts towards the limit.
_ENVIRONMENT = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


class Worker:
    """Runs functions in the other process, which is started at the first call. Calls from several
    threads wait for each other."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._error_output: IO[bytes] | None = None

    def call(
        self, function: str, argument: object, limits: Limits = Limits(), needs: Sequence[str] = ()
    ) -> Any:
        """Call `function` ("package.module:name") with `argument` in the other process, and return
        its result; argument and result must be JSON data. The modules in `needs` are imported
        before the time limit starts. Raises WorkerError."""
        request = {
            "function": function,
            "argument": argument,
            "needs": list(needs),
            "seconds": limits.seconds,
            "memory": limits.memory,
        }
        with self._lock:
            try:
                answer = self._ask(json.dumps(request).encode(), limits)
            except BaseException:  # even an interrupt: a late answer must not reach the next call
                self._stop()
                raise
        if "raised" in answer:
            raise WorkerError("raised", f"led to an unexpected error: {answer['raised']}")
        return answer["value"]

    def stop(self) -> None:
        """End the process. The next call starts another."""
        with self._lock:
            self._stop()

    def forget(self) -> None:
        """Forget the other process without ending it. Called in the child after a fork, because the
        process belongs to the parent."""
        self._lock, self._process, self._error_output = threading.Lock(), None, None

    def _ask(self, request: bytes, limits: Limits) -> dict[str, Any]:
        process = self._running()
        with _Killer(process, _START_SECONDS) as start:
            ready = _send(process.stdin, request) and _receive(process.stdout)
        reply = b""
        if ready:
            with _Killer(process, limits.seconds) as work:
                reply = _receive(process.stdout)
            if work.killed:
                raise WorkerError("time", f"took longer than {limits.seconds:g} seconds")
        if start.killed:
            raise WorkerError("time", f"took longer than {_START_SECONDS} seconds to begin with")
        try:
            answer = json.loads(reply)
        except ValueError:
            raise self._cause_of_death(process, limits) from None
        assert isinstance(answer, dict)
        if "memory" in answer:
            raise _out_of_memory(limits)
        return answer

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self._stop()
            self._error_output = tempfile.TemporaryFile()  # noqa: SIM115  (open as long as the process)
            self._process = subprocess.Popen(
                [sys.executable, "-I", "-X", "utf8", "-c", _START, *sys.path],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=self._error_output,
                env={**os.environ, **_ENVIRONMENT},
            )
        return self._process

    def _stop(self) -> None:
        process, self._process = self._process, None
        error_output, self._error_output = self._error_output, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with contextlib.suppress(OSError):
                        pipe.close()
        if error_output is not None:
            error_output.close()

    def _cause_of_death(self, process: subprocess.Popen[bytes], limits: Limits) -> WorkerError:
        """Why the process ended during a call, as far as its error output tells."""
        process.kill()
        process.wait()
        assert self._error_output is not None
        self._error_output.seek(0)
        text = self._error_output.read()
        if b"bad_alloc" in text or b"MemoryError" in text:
            return _out_of_memory(limits)
        return WorkerError("crash", "crashed the program that reads it")


class _Killer:
    """Kills a process if the `with` block takes longer than `seconds`."""

    def __init__(self, process: subprocess.Popen[bytes], seconds: float) -> None:
        self._process = process
        self._timer = threading.Timer(seconds, self._kill)
        self._timer.daemon = True
        self.killed = False

    def __enter__(self) -> _Killer:
        self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._timer.cancel()
        self._timer.join()

    def _kill(self) -> None:
        self.killed = True
        self._process.kill()


def _out_of_memory(limits: Limits) -> WorkerError:
    return WorkerError("memory", f"needed more than {limits.memory >> 20} MB of memory")


def _send(pipe: IO[bytes] | None, message: bytes) -> bool:
    """Write a message after its length. Returns False when nobody reads it."""
    assert pipe is not None
    try:
        pipe.write(_LENGTH.pack(len(message)) + message)
        pipe.flush()
    except OSError:
        return False
    return True


def _receive(pipe: IO[bytes] | None) -> bytes:
    """Read a message; b"" when the other side is gone."""
    assert pipe is not None
    head = pipe.read(_LENGTH.size)
    return pipe.read(_LENGTH.unpack(head)[0]) if len(head) == _LENGTH.size else b""


def serve() -> None:
    """Run in the other process: answer calls until the main process ends.

    Each call is answered by two messages: an empty one when its modules are imported and its time
    starts, then its result. Anything else that is written to the standard streams is dropped.
    """
    requests, answers = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    with Path(os.devnull).open("r+b") as nowhere:
        os.dup2(nowhere.fileno(), 0)
        os.dup2(nowhere.fileno(), 1)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the main process ends this one
    received: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(requests, received), daemon=True).start()
    while True:
        request = json.loads(received.get())
        try:
            for module in request["needs"]:
                importlib.import_module(module)
            module, _, name = request["function"].partition(":")
            function = getattr(importlib.import_module(module), name)
        except Exception as error:
            function = partial(_fail, error)
        _send(answers, b"{}")
        _send(answers, _answer(function, request))


def _listen(requests: IO[bytes], received: queue.SimpleQueue[bytes]) -> None:
    """Put incoming requests into a queue. When the main process has ended, end this one at once."""
    while message := _receive(requests):
        received.put(message)
    os._exit(0)


def _fail(error: Exception, _: object) -> None:
    raise error


def _answer(function: Callable[[Any], object], request: dict[str, Any]) -> bytes:
    try:
        faulthandler.dump_traceback_later(request["seconds"] + _GRACE_SECONDS, exit=True)
        _limit_memory(request["memory"])
        return json.dumps({"value": function(request["argument"])}).encode()
    except MemoryError:
        return b'{"memory": true}'
    except BaseException as error:  # a library may even try to end the program
        message = f"{type(error).__name__}: {error}"
        return json.dumps({"raised": message[:_LONGEST_MESSAGE]}).encode()
    finally:
        faulthandler.cancel_dump_traceback_later()
        _limit_memory(None)


def _limit_memory(size: int | None) -> None:
    """Limit the memory of this process, if the system can; None lifts the limit."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource  # not on every system

        _, most = resource.getrlimit(resource.RLIMIT_AS)
        limit = most if size is None else size
        resource.setrlimit(resource.RLIMIT_AS, (limit, most))


_shared = Worker()
#: `Worker.call` of the one process that this program shares.
call = _shared.call
atexit.register(_shared.stop)
if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_shared.forget)
