"""Writes files for commands: all of them or none. A new file never replaces an existing one. A file
that a command was asked to change, such as an exercise, is replaced as a whole, so that it is never
left half written.
"""

from __future__ import annotations

import io
import os
import tempfile
from codecs import BOM_UTF8
from collections.abc import Mapping
from difflib import SequenceMatcher
from pathlib import Path

from chorus_handbook.commands.project import WrongUsageError


def write_new(
    files: Mapping[Path, bytes], remedy: str, changed: Mapping[Path, bytes] | None = None
) -> None:
    """Create all `files` and replace the existing ones in `changed`, or do neither. Both map paths
    to contents. If one of `files` exists already, raises WrongUsageError, whose message ends with
    `remedy`. Raises OSError."""
    done: list[Path] = []
    try:
        for path, content in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as file:
                done.append(path)
                file.write(content)
        replace_all(changed or {})
    except BaseException as failure:
        for path in done:
            path.unlink(missing_ok=True)
        if isinstance(failure, FileExistsError):
            raise WrongUsageError(f'"{failure.filename}" exists already; {remedy}') from failure
        if isinstance(failure, OSError) and failure.filename is None:  # as when the disk is full
            raise OSError(failure.errno, failure.strerror, str(path)) from failure
        raise


def edited(path: Path, old: str, new: str) -> bytes:
    """The new content of the file at `path`, after its text was changed from `old` to `new`. Both
    texts have only "\n" between lines, whatever the file has. Unchanged lines keep their bytes, and
    a new line gets the line ending of the line that it replaces. Raises OSError."""
    data = path.read_bytes()
    mark = BOM_UTF8 if data.startswith(BOM_UTF8) else b""
    present = list(io.StringIO(data.removeprefix(mark).decode(), newline=""))
    before, after = old.splitlines(keepends=True), new.splitlines(keepends=True)
    lines: list[str] = []
    for what, begin, end, first, last in SequenceMatcher(None, before, after).get_opcodes():
        if what == "equal":
            lines += present[begin:end]
        else:
            line = present[min(begin, len(present) - 1)]
            line_end = line[len(line.rstrip("\r\n")) :] or "\n"
            lines += [one.replace("\n", line_end) for one in after[first:last]]
    return mark + "".join(lines).encode()


def replace(path: Path, content: bytes) -> None:
    """Replace the content of a file: either all of it or nothing. Raises OSError."""
    replace_all({path: content})


def replace_all(files: Mapping[Path, bytes]) -> None:
    """Replace the contents of several files. All contents are first written to temporary files, so
    that a full disk leaves the old files as they were. Raises OSError."""
    written: dict[Path, Path] = {}
    at = Path()
    try:
        for path, content in files.items():
            at = path
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
            written[Path(name)] = path
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(name).chmod(_permissions(path))
        for new, at in written.items():
            new.replace(at)
    except BaseException as failure:
        for new in written:
            new.unlink(missing_ok=True)
        if isinstance(failure, OSError):
            raise OSError(failure.errno, failure.strerror, str(at)) from failure
        raise


def _permissions(path: Path) -> int:
    """The permissions of the existing file at this path, or else those of any new file."""
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        return 0o666 & ~_umask()


def _umask() -> int:
    """The permission bits that this process withholds from new files."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
