"""A cache of results that are costly to compute, such as drawings, in files of one folder.

The key of a result is a hash of everything that it depends on, so a cached result is never out of
date, and the cache need not be cleared. A damaged file counts as missing. Results that cannot be
written to the folder stay in memory while the program runs, so a read-only folder is slow but not
an error.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
import zlib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

#: Every file begins with a checksum of this length.
_CHECKSUM_BYTES = 4


class Cache:
    """A store of results as bytes, each under a key: in files of `folder`, or only in memory if
    `folder` is None. `made` counts the results of each kind that had to be computed; the code that
    computes a result adds to this count."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._in_memory: dict[str, bytes] = {}
        self.made: Counter[str] = Counter()

    @property
    def folder(self) -> Path | None:
        """The folder of the cache; None if all results are in memory."""
        return self._folder

    @property
    def in_memory(self) -> dict[str, bytes]:
        """The results in memory: those that could not be written, or all without a folder."""
        return self._in_memory

    def adopt(self, results: Mapping[str, bytes], made: Counter[str]) -> None:
        """Take over what another process did: keep in memory the `results` that it could not write
        to the folder, and add its counts `made`."""
        self._in_memory.update(results)
        self.made.update(made)

    @staticmethod
    def key(*parts: str | bytes) -> str:
        """The key of the result that depends on these inputs: a SHA-256 in hexadecimal digits."""
        digest = hashlib.sha256()
        for part in parts:
            data = part.encode() if isinstance(part, str) else part
            digest.update(b"%d:" % len(data))  # so that "ab", "c" and "a", "bc" differ
            digest.update(data)
        return digest.hexdigest()

    def __contains__(self, key: str) -> bool:
        """Whether there is a result with this key, though it may be damaged."""
        return key in self._in_memory or (self._folder is not None and self._path(key).is_file())

    def get(self, key: str) -> bytes | None:
        """The result with this key, or None."""
        if key in self._in_memory or self._folder is None:
            return self._in_memory.get(key)
        try:
            content = self._path(key).read_bytes()
        except OSError:
            return None
        value = content[_CHECKSUM_BYTES:]
        return value if content[:_CHECKSUM_BYTES] == _checksum(key, value) else None

    def put(self, key: str, value: bytes) -> None:
        """Store a result under its key."""
        if self._folder is None:
            self._in_memory[key] = value
            return
        path = self._path(key)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=path.parent)
            with os.fdopen(handle, "wb") as file:
                file.write(_checksum(key, value))
                file.write(value)
            Path(name).replace(path)
        except OSError:
            self._in_memory[key] = value

    def _path(self, key: str) -> Path:
        assert self._folder is not None
        return self._folder / key[:2] / key[2:]


def _checksum(key: str, value: bytes) -> bytes:
    """A checksum of a result together with its key, so that a file with the result of another key
    is noticed as well as a damaged one."""
    return zlib.crc32(value, zlib.crc32(key.encode())).to_bytes(_CHECKSUM_BYTES, "big")
