"""Hashes of the program's code, which are part of the keys under which results are cached.

After a change of the code, cached results must not be used again. There are two rules. A *record*
(all that is known of one file) is quick to make and uses nearly every module, so its key contains
`program_hash`: the whole package, all installed distributions, Python and the platform. Costly
results (drawings, sound) depend only on the code that makes them and the libraries it uses: see
`CachedPart`. So after a change to the wording of a page, all drawings can still be used.
"""

from __future__ import annotations

import os
import platform
import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

PACKAGE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class CachedPart:
    """A kind of costly result. `code` lists the folders and modules of the package that determine
    it, `libraries` the distributions that do."""

    name: str
    code: tuple[str, ...]
    libraries: tuple[str, ...]

    def version(self) -> str:
        """A hash of that code and those libraries, in hexadecimal."""
        return _part_version(self)


#: The code that reads scores and the chorus, on which all costly results depend.
_MODELS = (
    *("cache.py", "catalogue.py", "chorus", "dependencies.py", "entries", "music", "pitch.py"),
    *("problems.py", "process_pool.py", "shared_facts.py", "browser/shared_facts.js", "source"),
)
DRAWINGS = CachedPart(
    "drawings",
    ("engraving", "worker.py", *_MODELS),
    ("lxml", "MarkupSafe", "pydantic", "PyYAML", "verovio"),
)
SOUND = CachedPart(
    "sound",
    ("sound", "claims", "engraving", "voices", "worker.py", *_MODELS),
    tuple("lxml MarkupSafe mido numpy pydantic pyfluidsynth PyYAML soundfile".split()),
)


@lru_cache(maxsize=1)
def program_hash() -> str:
    """A hash of the whole package, all installed distributions, Python and the platform, in
    hexadecimal."""
    digest = sha256(f"{sys.version}\n{platform.platform()}\n".encode())
    for name in sorted(set(installed())):
        digest.update(f"{name}\n".encode())
    digest.update(_code([PACKAGE]))
    return digest.hexdigest()


@lru_cache(maxsize=16)
def _part_version(part: CachedPart) -> str:
    digest = sha256(f"{part.name}\n{sys.version_info[:2]}\n".encode())
    for library in part.libraries:
        digest.update(f"{library} {_version(library)}\n".encode())
    digest.update(_code(PACKAGE / place for place in part.code))
    return digest.hexdigest()


def installed() -> Iterator[str]:
    """The name and version of every installed distribution, such as "mido-1.3.3.dist-info". They
    are taken from folder names; reading the metadata would take as long as reading a handbook."""
    for place in sys.path:
        with suppress(OSError):
            yield from (entry.name for entry in os.scandir(place) if entry.name.endswith("-info"))


def _version(library: str) -> str:
    from importlib import metadata  # late: only needed where a part is made

    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:
        return "none"


def _code(places: Iterable[Path]) -> bytes:
    """A SHA-256 digest of the names and contents of all files at and below these paths."""
    digest = sha256()
    for place in places:
        for file in [place] if place.is_file() else sorted(place.rglob("*")):
            if file.is_file() and "__pycache__" not in file.parts:
                digest.update(f"{file.relative_to(PACKAGE)}\n".encode())
                digest.update(sha256(file.read_bytes()).digest())
    return digest.digest()
