"""A handbook as it is published, kept as a whole: while nothing changes, nothing is read again.

What stands in the store holds for one state of everything a site depends on: the handbook's
files, this program, and the libraries it draws and writes with. There is one such record a
handbook, that of its newest site without errors.
"""

from __future__ import annotations

import json
import os
import stat
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from hashlib import sha256
from pathlib import Path
from typing import Any

from chorus_handbook.cache import Cache
from chorus_handbook.pages.page import Page, Site
from chorus_handbook.problems import Place, Problem, has_errors

_PACKAGE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Finished:
    """What is published of a handbook, and every problem that was found."""

    site: Site | None
    problems: tuple[Problem, ...]

    @property
    def broken(self) -> bool:
        """Whether there are errors, and so nothing may be published."""
        return has_errors(self.problems)


def finish(
    root: Path,
    cache: Cache,
    *,
    strict: bool = False,
    with_tracks: bool = False,
    tell: Callable[[str], None] = lambda _: None,
) -> Finished:
    """The handbook in `root`, as it was kept or through all stages; `tell` hears the name of each.
    With errors, when `strict` also with notices, it is only checked and has no site. `with_tracks`:
    its site offers practice tracks."""
    now = state(root, with_tracks=with_tracks)
    kept = stored(root, now, cache)
    if kept is not None and not (strict and kept.problems):
        return kept
    from chorus_handbook import pipeline  # late: what was kept needs no stage

    book = pipeline.begin(root, cache, with_tracks=with_tracks)
    book = pipeline.advance(book, pipeline.CHECKS, tell)
    if book.broken or (strict and book.problems):
        return Finished(None, book.problems)
    book = pipeline.advance(book, pipeline.DRAWING, tell)
    found = Finished(book.site, book.problems)
    if not found.broken:
        keep(root, now, found, cache)
    return found


def state(root: Path, *, with_tracks: bool = False) -> str:
    """Names everything that the site of the handbook in `root` depends on."""
    digest = sha256(f"{sys.version} {with_tracks}\n".encode())
    for library in libraries():
        digest.update(f"{library}\n".encode())
    for folder in (root, _PACKAGE):
        for path in _files(folder):
            digest.update(f"{path.relative_to(folder)}\n".encode(errors="replace"))
            digest.update(sha256(_content(path)).digest())
    return digest.hexdigest()


def stored(root: Path, now: str, cache: Cache) -> Finished | None:
    """What was kept, if it is of this state."""
    record = cache.get(_name(root))
    if record is None:
        return None
    try:
        head, start = record[: record.index(b"\n")], record.index(b"\n") + 1
        told = json.loads(head)
        if told["state"] != now:
            return None
        return _unpacked(told, memoryview(record)[start:])
    except (ValueError, TypeError, KeyError):
        return None


def keep(root: Path, now: str, found: Finished, cache: Cache) -> None:
    """Put a finished handbook into the store, in the place of the one before."""
    site = found.site
    if site is None:
        return
    blobs = _Blobs()
    told = {
        "state": now,
        "problems": [asdict(problem) for problem in found.problems],
        "pages": [
            {
                **{field.name: getattr(page, field.name) for field in fields(page)},
                "slots": dict(page.slots),
                "late": blobs.put_all({name: text.encode() for name, text in page.late.items()}),
            }
            for page in site.pages
        ],
        "files": blobs.put_all(site.files),
        "menu": site.menu,
    }
    head = json.dumps(told, ensure_ascii=False).encode()
    cache.put(_name(root), b"\n".join((head, b"".join(blobs.parts))))


class _Blobs:
    """Long contents, end to end; each is known by where it begins and how long it is."""

    def __init__(self) -> None:
        self.parts: list[bytes] = []
        self._end = 0

    def put_all(self, contents: Mapping[str, bytes]) -> dict[str, tuple[int, int]]:
        return {name: self._put(content) for name, content in contents.items()}

    def _put(self, content: bytes) -> tuple[int, int]:
        start, self._end = self._end, self._end + len(content)
        self.parts.append(content)
        return start, len(content)


def _unpacked(told: dict[str, Any], blobs: memoryview) -> Finished:
    """The other way round. Raises ValueError, TypeError or KeyError for what was never kept."""

    def content(place: tuple[int, int]) -> bytes:
        start, length = place
        return bytes(blobs[start : start + length])

    pages = tuple(
        Page(**{**page, "late": {name: content(at).decode() for name, at in page["late"].items()}})
        for page in told["pages"]
    )
    files = {path: content(at) for path, at in told["files"].items()}
    menu = tuple(
        (title, entry if isinstance(entry, str) else tuple((name, path) for name, path in entry))
        for title, entry in told["menu"]
    )
    problems = tuple(
        Problem(**{**problem, "place": Place(**problem["place"])}) for problem in told["problems"]
    )
    return Finished(Site(pages, files, menu), problems)


def _name(root: Path) -> str:
    return Cache.key("finished", str(root))


def _files(folder: Path) -> Iterator[Path]:
    """Every file below a folder, in one order; what Python compiles left out. Links to folders
    are not followed."""
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if name != "__pycache__")
        yield from (Path(place) / name for name in sorted(files))


def _content(path: Path) -> bytes:
    """What a file holds; of one that is no plain file, or that nobody may read, only that."""
    try:
        return path.read_bytes() if stat.S_ISREG(path.stat().st_mode) else b"no file"
    except OSError as failure:
        return f"unreadable {failure.errno}".encode()


def libraries() -> list[str]:
    """Every installed distribution, as the name of its record says it: "verovio-6.4.1.dist-info".
    All count, so that no list of those a site depends on has to be kept; one that a site does not
    depend on costs a build when it changes, and no more."""
    found: set[str] = set()
    for place in sys.path:
        try:
            records = list(Path(place or ".").iterdir())
        except OSError:  # an archive, or a folder that is not there
            continue
        found.update(r.name for r in records if r.suffix in (".dist-info", ".egg-info"))
    return sorted(found)
