"""Builds that are killed at any step, in a small process of their own.

Forking the process of the tests, with all that they have loaded, takes ten times as long as what is
killed; so `Killing` starts this module as a program, which forks itself at every order. The builds
write a few small files in place of pages. An audit hook (PEP 578) sees every call that changes
something on the disk, and kills the forked process before the one that is asked for.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

from chorus_handbook.commands import staging as staging_module
from chorus_handbook.commands.staging import alone, clear_left_behind, staging
from chorus_handbook.records.manifest import write_manifest

#: What only reads is left out: before it the disk is as it was before the next change.
_CHANGES_THE_DISK = {
    *("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.chmod", "os.chown", "os.link"),
}
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC
KILLED = -signal.SIGKILL


def put(folder: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)


def build(target: Path, files: dict[str, str]) -> list[Path]:
    """What `handbook build` does once the pages are made."""
    left = clear_left_behind(target)
    with staging(target) as stage:
        put(stage.new, files)
        write_manifest(stage.new, files)
        with alone(target.parent):
            stage.publish()
            left += stage.clear()
    return left


class Killing:
    """The small process. An order is the number of the step to be killed at, whether folders can be
    exchanged in one step, the site, and the files of the build, or None to clear up alone."""

    def __init__(self) -> None:
        command = [sys.executable, __file__]
        self.process = subprocess.Popen(command, stdin=-1, stdout=-1, text=True, bufsize=1)

    def killed_at(
        self, step: int, target: Path, files: dict[str, str] | None, *, one_step: bool = True
    ) -> bool:
        """Have the work done by a process that is killed before its `step`th change of the disk.
        Whether it was, rather than done before."""
        assert self.process.stdin and self.process.stdout
        self.process.stdin.write(json.dumps([step, one_step, str(target), files]) + "\n")
        code = int(self.process.stdout.readline())
        assert code in (0, KILLED)
        return code == KILLED

    def close(self) -> None:
        self.process.communicate()


def _obey(step: int, one_step: bool, target: str, files: dict[str, str] | None) -> int:
    """Returns the exit code of the forked process."""
    child = os.fork()
    if child:
        _, status = os.waitpid(child, 0)
        return os.waitstatus_to_exitcode(status)
    if not one_step:
        staging_module._in_one_step = lambda *_: False  # type: ignore[assignment]
    steps = 0

    def hook(event: str, details: tuple[Any, ...]) -> None:
        nonlocal steps
        if event in _CHANGES_THE_DISK or (event == "open" and details[2] & _WRITING):
            steps += 1
            if steps == step:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(hook)
    try:
        clear_left_behind(Path(target)) if files is None else build(Path(target), files)
    except BaseException:
        os._exit(1)
    os._exit(0)


if __name__ == "__main__":
    for order in sys.stdin:
        sys.stdout.write(f"{_obey(*json.loads(order))}\n")
        sys.stdout.flush()
