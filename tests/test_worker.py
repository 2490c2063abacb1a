"""A stranger's file may do its worst: the other process bears it, and says what happened."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from chorus_handbook.worker import Limits, Worker, WorkerError

#: Long enough for a quick answer on a busy machine.
SHORT = Limits(seconds=2)
#: What the other process is asked to do.
DEEDS = """
import ctypes, os, signal, sys, time

def say(text): return {"said": text}
def who(_): return os.getpid()
def fail(text): raise RuntimeError(text)
def leave(_): sys.exit(3)
def hang(_): time.sleep(60)
def spin(_): ctypes.pythonapi.PyRun_SimpleString(b"while True: pass")
def hoard(_): return [bytearray(1 << 20) for _ in range(1 << 14)]
def abort(_): os.abort()
def fault(_): ctypes.string_at(0)
def vanish(_): os._exit(0)
def speak(text):
    print(text); print(text, file=sys.stderr, flush=True); os.write(1, text.encode()); return text
def listen(_): return sys.stdin.read()
def opaque(_): return object()
def loaded(name): return name in sys.modules
def cpp(_):
    sys.stderr.write("terminate called after throwing an instance of 'std::bad_alloc'\\n")
    sys.stderr.flush(); os.abort()
"""


@pytest.fixture
def worker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Worker]:
    (tmp_path / "deeds.py").write_text(DEEDS, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    one = Worker()
    yield one
    one.stop()


def test_an_answer_comes_back(worker: Worker) -> None:
    assert worker.call("deeds:say", "Grüße ♯") == {"said": "Grüße ♯"}
    assert len(worker.call("deeds:say", "x" * 3_000_000)["said"]) == 3_000_000


def test_the_process_is_another_one_and_lives_on(worker: Worker) -> None:
    first = worker.call("deeds:who", None)
    assert first != os.getpid()
    assert worker.call("deeds:who", None) == first


@pytest.mark.parametrize(
    ("deed", "limits", "reason", "message"),
    [
        ("hang", SHORT, "time", "took longer than 2 seconds"),
        ("spin", SHORT, "time", "took longer than 2 seconds"),
        ("hoard", Limits(memory=400 << 20), "memory", "needed more than 400 MB of memory"),
        ("cpp", Limits(), "memory", "needed more than 1024 MB of memory"),
        ("abort", Limits(), "crash", "crashed"),
        ("fault", Limits(), "crash", "crashed"),
        ("vanish", Limits(), "crash", "crashed"),
    ],
)
def test_a_bad_end_is_told_and_another_process_takes_over(
    deed: str, limits: Limits, reason: str, message: str, worker: Worker
) -> None:
    first = worker.call("deeds:who", None)
    with pytest.raises(WorkerError, match=message) as caught:
        worker.call(f"deeds:{deed}", None, limits)
    assert caught.value.reason == reason
    assert worker.call("deeds:who", None) not in (first, None)
    with pytest.raises(ProcessLookupError):
        os.kill(first, 0)


@pytest.mark.parametrize(
    ("function", "message"),
    [
        ("deeds:fail", "RuntimeError: so it goes"),
        ("deeds:leave", "SystemExit: 3"),
        ("deeds:opaque", "TypeError"),
        ("deeds:nothing", "AttributeError"),
        ("no_such_module:say", "ModuleNotFoundError"),
    ],
)
def test_an_error_in_the_function_is_told_and_the_process_lives_on(
    function: str, message: str, worker: Worker
) -> None:
    first = worker.call("deeds:who", None)
    with pytest.raises(WorkerError, match=message) as caught:
        worker.call(function, "so it goes")
    assert caught.value.reason == "raised"
    assert worker.call("deeds:who", None) == first


def test_limits_hold_for_one_call_only(worker: Worker) -> None:
    first = worker.call("deeds:who", None, Limits(seconds=2, memory=400 << 20))
    time.sleep(2.5)
    assert worker.call("deeds:who", None) == first


def test_what_a_call_needs_is_there_before_its_time_begins(worker: Worker, tmp_path: Path) -> None:
    (tmp_path / "slow.py").write_text("import time; time.sleep(3)", encoding="utf-8")
    assert worker.call("deeds:loaded", "slow", SHORT, needs=["slow"]) is True


def test_noise_reaches_neither_the_terminal_nor_the_answers(
    worker: Worker, capfd: pytest.CaptureFixture[str]
) -> None:
    assert worker.call("deeds:speak", "noise") == "noise"
    assert worker.call("deeds:listen", None) == ""
    assert capfd.readouterr() == ("", "")


def test_threads_take_turns(worker: Worker) -> None:
    with ThreadPoolExecutor(4) as threads:
        answers = threads.map(lambda n: worker.call("deeds:say", n)["said"], range(40))
        assert list(answers) == list(range(40))


def test_a_process_outlives_the_thread_that_started_it(worker: Worker) -> None:
    found: list[int] = []
    thread = threading.Thread(target=lambda: found.append(worker.call("deeds:who", None)))
    thread.start()
    thread.join()
    assert worker.call("deeds:who", None) == found[0]


def wait_for_end(pid: int) -> None:
    """Return once a process has ended (one that waits to be collected has). Should it never, the
    runner ends the test."""
    while True:
        try:
            state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2]
        except FileNotFoundError:
            return
        if state.split()[0] == "Z":
            return
        time.sleep(0.05)


@pytest.mark.timeout(60)
@pytest.mark.parametrize(
    "ending",
    ["pass", "sys.exit(1)", "os.kill(os.getpid(), 9)", "worker.call('deeds:hang', None, long)"],
)
def test_the_process_ends_with_this_one(ending: str, tmp_path: Path) -> None:
    """Also when this one is killed, and when it is busy then."""
    (tmp_path / "deeds.py").write_text(DEEDS, encoding="utf-8")
    script = f"""
        import os, sys, threading
        from chorus_handbook import worker
        long = worker.Limits(seconds=60)
        print(worker.call("deeds:who", None), flush=True)
        threading.Timer(0.3, os.kill, (os.getpid(), 9)).start() if "hang" in {ending!r} else None
        {ending}
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(script)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
    )
    assert done.stderr == ""
    wait_for_end(int(done.stdout))


def test_a_fork_starts_a_process_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "deeds.py").write_text(DEEDS, encoding="utf-8")
    script = """
        import os
        from chorus_handbook import worker
        first = worker.call("deeds:who", None)
        if os.fork() == 0:
            os._exit(0 if worker.call("deeds:who", None) != first else 1)
        code = os.waitstatus_to_exitcode(os.wait()[1])
        print(code, worker.call("deeds:who", None) == first)
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(script)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
    )
    assert done.stdout.split() == ["0", "True"]
