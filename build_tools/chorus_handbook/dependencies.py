"""What a stored result depends on beside its arguments: two rules.

A **record** is cheap to make and touches nearly every module, so it depends on the whole program:
every file of the package, every installed distribution, Python and the platform. A **costly part**
(drawings, notes, tones, a track) depends on the folders of the package that make it, the modules
that define the types it takes, and the libraries it works with, so that a changed word elsewhere
makes none of them again.
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
class Part:
    """A kind of costly result: its `name`, the folders and modules of the package that it comes
    from, relative to the package, and the distributions it works with."""

    name: str
    code: tuple[str, ...]
    libraries: tuple[str, ...]

    def version(self) -> str:
        """Changes whenever results of this kind may come out differently."""
        return _part_version(self)


#: What every part is made from: the score, the chorus, and what these are read with.
_MODELS = (
    *("cache.py", "catalogue.py", "chorus", "dependencies.py", "entries", "music", "pitch.py"),
    *("problems.py", "process_pool.py", "shared_facts.py", "browser/shared_facts.js", "source"),
)
DRAWINGS = Part(
    "drawings",
    ("engraving", "worker.py", *_MODELS),
    ("lxml", "MarkupSafe", "pydantic", "PyYAML", "verovio"),
)
SOUND = Part(
    "sound",
    ("sound", "claims", "engraving", "voices", "worker.py", *_MODELS),
    (
        *("lxml", "MarkupSafe", "mido", "numpy", "pydantic", "pyfluidsynth", "PyYAML"),
        "soundfile",
    ),
)


@lru_cache(maxsize=1)
def program() -> str:
    """A hash that changes with the code of this program, with Python, with the platform and with
    any installed distribution. Stored results are keyed by it."""
    digest = sha256(f"{sys.version}\n{platform.platform()}\n".encode())
    for name in sorted(set(installed())):
        digest.update(f"{name}\n".encode())
    digest.update(_code([PACKAGE]))
    return digest.hexdigest()


@lru_cache(maxsize=16)
def _part_version(part: Part) -> str:
    digest = sha256(f"{part.name}\n{sys.version_info[:2]}\n".encode())
    for library in part.libraries:
        digest.update(f"{library} {_version(library)}\n".encode())
    digest.update(_code(PACKAGE / place for place in part.code))
    return digest.hexdigest()


def installed() -> Iterator[str]:
    """Every installed distribution with its version. The names of their folders say so; reading
    each one's metadata would take as long as reading a handbook."""
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
    """A digest of files of the package, each under its name."""
    digest = sha256()
    for place in places:
        for file in [place] if place.is_file() else sorted(place.rglob("*")):
            if file.is_file() and "__pycache__" not in file.parts:
                digest.update(f"{file.relative_to(PACKAGE)}\n".encode())
                digest.update(sha256(file.read_bytes()).digest())
    return digest.digest()
