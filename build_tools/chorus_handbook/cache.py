"""A content-addressed store for costly results, outside the published folder.

A key is made from everything the result depends on, so nothing in the store is ever stale and
nothing needs to be cleared. Writes are atomic, and what was damaged since is as if it were not
there; a store that cannot be written is no error, only slow. Failures are never stored.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import zlib
from pathlib import Path

#: Every record begins with a checksum of so many bytes.
_CHECK = 4


class Cache:
    """Bytes by key, in `folder`. With no folder, nothing is kept."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder

    @staticmethod
    def key(*parts: str | bytes) -> str:
        """A name for the result of exactly these inputs; no two different lists share one."""
        digest = hashlib.sha256()
        for part in parts:
            data = part.encode() if isinstance(part, str) else part
            digest.update(b"%d:" % len(data))
            digest.update(data)
        return digest.hexdigest()

    def get(self, key: str) -> bytes | None:
        """The stored result, or None."""
        if self._folder is None:
            return None
        try:
            kept = self._path(key).read_bytes()
        except OSError:
            return None
        value = kept[_CHECK:]
        return value if kept[:_CHECK] == _checked(value) else None

    def put(self, key: str, value: bytes) -> None:
        """Store a result."""
        if self._folder is None:
            return
        path = self._path(key)
        with contextlib.suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=path.parent)
            with os.fdopen(handle, "wb") as file:
                file.write(_checked(value))
                file.write(value)
            Path(name).replace(path)

    def _path(self, key: str) -> Path:
        assert self._folder is not None
        return self._folder / key[:2] / key[2:]


def _checked(value: bytes) -> bytes:
    return zlib.crc32(value).to_bytes(_CHECK, "big")
