"""A content-addressed store for costly results, outside the published folder.

A key is made from everything the result depends on, so nothing in the store is ever stale and
nothing needs to be cleared. Writes are atomic, and what was damaged since is as if it were not
there. What a folder does not take is held in memory instead, for as long as the program runs: a
store that cannot be written is no error, only slow. Failures are never stored.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
import zlib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

#: Every record begins with a checksum of so many bytes.
_CHECK = 4


class Cache:
    """Bytes by key, in `folder`, or in memory where there is none. `made` counts, by kind, what had
    to be made because it was not stored; whoever makes it counts."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._held: dict[str, bytes] = {}
        self.made: Counter[str] = Counter()

    @property
    def folder(self) -> Path | None:
        """Where results are stored; None where they are held in memory."""
        return self._folder

    @property
    def held(self) -> dict[str, bytes]:
        """What is in memory, because the folder does not take it or there is none."""
        return self._held

    def take(self, held: Mapping[str, bytes], made: Counter[str]) -> None:
        """Adopt what another process held and counted for the same folder."""
        self._held.update(held)
        self.made.update(made)

    @staticmethod
    def key(*parts: str | bytes) -> str:
        """A name for the result of exactly these inputs; no two different lists share one."""
        digest = hashlib.sha256()
        for part in parts:
            data = part.encode() if isinstance(part, str) else part
            digest.update(b"%d:" % len(data))
            digest.update(data)
        return digest.hexdigest()

    def __contains__(self, key: str) -> bool:
        """Whether something is stored under this key; it may be damaged."""
        return key in self._held or (self._folder is not None and self._path(key).is_file())

    def get(self, key: str) -> bytes | None:
        """The stored result, or None."""
        if key in self._held or self._folder is None:
            return self._held.get(key)
        try:
            kept = self._path(key).read_bytes()
        except OSError:
            return None
        value = kept[_CHECK:]
        return value if kept[:_CHECK] == _checked(key, value) else None

    def put(self, key: str, value: bytes) -> None:
        """Store a result."""
        if self._folder is None:
            self._held[key] = value
            return
        path = self._path(key)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=path.parent)
            with os.fdopen(handle, "wb") as file:
                file.write(_checked(key, value))
                file.write(value)
            Path(name).replace(path)
        except OSError:
            self._held[key] = value

    def _path(self, key: str) -> Path:
        assert self._folder is not None
        return self._folder / key[:2] / key[2:]


def _checked(key: str, value: bytes) -> bytes:
    """A checksum of a result and of what it is called: one that stands in another's place is as
    wrong as a damaged one."""
    return zlib.crc32(value, zlib.crc32(key.encode())).to_bytes(_CHECK, "big")
