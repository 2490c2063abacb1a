"""Processes that share out work end with the program that started them, and keep nothing open."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

#: What the processes are given to do. Each notes its number, then works for longer than any test.
DEEDS = """
import os, time
from pathlib import Path

def work(folder):
    (Path(folder) / str(os.getpid())).touch()
    time.sleep(100)

def speak(text):
    os.write(1, text.encode()); os.write(2, text.encode()); print(text)
    return text
"""
PROGRAM = """
import sys
from deeds import work
from chorus_handbook.process_pool import ProcessPool

if __name__ == "__main__":
    with ProcessPool(2) as pool:
        for asked in [pool.submit(work, sys.argv[1]) for _ in range(6)]:
            asked.result()
"""


def running(pid: int) -> bool:
    """Whether a process is at work; one that waits to be collected has ended."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2]
    except FileNotFoundError:
        return False
    return state.split()[0] != "Z"


def holds_interrupts_back(pid: int) -> bool:
    status = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    blocked = next(line for line in status.splitlines() if line.startswith("SigBlk:"))
    return bool(int(blocked.split()[1], 16) >> (signal.SIGINT - 1) & 1)


def within(seconds: float, condition: object) -> bool:
    assert callable(condition)
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if condition():
            return True
        time.sleep(0.05)
    return False


@contextmanager
def program(folder: Path) -> Iterator[tuple[subprocess.Popen[bytes], list[int]]]:
    """A program with two processes at work, and their numbers; a process group of its own."""
    (folder / "deeds.py").write_text(DEEDS, encoding="utf-8")
    (folder / "program.py").write_text(PROGRAM, encoding="utf-8")
    seen = folder / "seen"
    seen.mkdir()
    process = subprocess.Popen(
        [sys.executable, folder / "program.py", seen],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        assert within(60, lambda: len(list(seen.iterdir())) == 2)
        yield process, [int(path.name) for path in seen.iterdir()]
    finally:
        process.kill()
        for path in seen.iterdir():
            if running(int(path.name)):
                os.kill(int(path.name), signal.SIGKILL)


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM])
def test_none_outlives_a_killed_program(tmp_path: Path, how: signal.Signals) -> None:
    with program(tmp_path) as (process, workers):
        process.send_signal(how)
        process.wait(10)
        assert within(10, lambda: not any(map(running, workers)))
        process.communicate(timeout=10)  # whoever reads its output comes to the end


def test_an_interrupt_ends_the_work_without_noise_from_the_processes(tmp_path: Path) -> None:
    with program(tmp_path) as (process, workers):
        assert all(map(holds_interrupts_back, workers))  # from its start, before it is at work
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to all of them
        message, _ = process.communicate(timeout=10)
        assert within(10, lambda: not any(map(running, workers)))
    assert message.count(b"Traceback") == 1  # this little program's own
    assert message.rstrip().endswith(b"KeyboardInterrupt")


def test_what_they_print_goes_nowhere(tmp_path: Path) -> None:
    (tmp_path / "deeds.py").write_text(DEEDS, encoding="utf-8")
    (tmp_path / "program.py").write_text(
        "from deeds import speak\n"
        "from chorus_handbook.process_pool import ProcessPool\n"
        "if __name__ == '__main__':\n"
        "    with ProcessPool(1) as pool:\n"
        "        print(pool.submit(speak, 'noise').result())\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, tmp_path / "program.py"], capture_output=True, text=True, check=True
    )
    assert (done.stdout, done.stderr) == ("noise\n", "")
