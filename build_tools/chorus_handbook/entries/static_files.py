"""Reads the folder `static/` of a handbook, whose files are published unchanged at the top of the
site.

They are files that hosts, browsers and search engines look for under a fixed name, such as
robots.txt. Only a few kinds of files are allowed, none of which a browser would run, because a web
page, an SVG drawing or a script from a contributor would be published unchecked, as part of the
site.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path, PurePosixPath

from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.names import is_left_behind

#: The name of the folder.
FOLDER = "static"
#: The files that are allowed in it, in words, for messages.
ALLOWED = "CNAME, robots.txt, .nojekyll, icons (.ico and .png), and text files in .well-known/"

#: The folder inside of it for files whose names are standardised (RFC 8615).
_WELL_KNOWN = ".well-known"
#: The largest text and the largest icon, in bytes, and the most files (our choice).
_TEXT, _ICON = 64 * 1024, 512 * 1024
_MOST_FILES = 100
#: The names of files that are allowed directly in the folder, as `fnmatch` patterns, each with the
#: largest size in bytes (our choice).
_LARGEST = {"CNAME": 256, "robots.txt": _TEXT, ".nojekyll": 256, "*.ico": _ICON, "*.png": _ICON}
#: The endings of files that are allowed in .well-known/, where many names have no ending.
_WELL_KNOWN_ENDINGS = ("", ".txt", ".json")
#: The first bytes of icons: the PNG specification (W3C), section 5.2; Windows icon files (common
#: practice).
_BEGINS = {".png": b"\x89PNG\r\n\x1a\n", ".ico": b"\0\0\1\0"}
#: A name without spaces, accents and other special characters.
_PLAIN = re.compile(r"[A-Za-z0-9._-]+", re.ASCII)
#: A host name: labels of letters, digits and inner hyphens (RFC 1123, section 2.1).
_LABEL = r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
_HOST = re.compile(rf"(?=.{{1,253}}\Z){_LABEL}(?:\.{_LABEL})+")


@dataclass(frozen=True, slots=True)
class StaticFiles:
    """The files to publish unchanged: their content by path below the top of the site."""

    files: Mapping[str, bytes] = field(default_factory=dict)


#: A function that reports a file or folder: its path, what is wrong with it (the message), and what
#: to do (the hint).
Refuse = Callable[[Path, str, str], None]


class _RefusedError(Exception):
    """A file cannot be published; `message` and `hint` are for the author."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


def belongs_in_static(path: str) -> bool:
    """Whether a file with this path may be in `static/`; `path` is relative to that folder."""
    return _largest(path) is not None


def read_static(root: Path) -> tuple[StaticFiles, list[Problem]]:
    """Read the folder `static/` of the handbook in `root`, if there is one. Returns its files, and
    a problem for each file that may not be in it."""
    folder = root / FOLDER
    files: dict[str, bytes] = {}
    problems: list[Problem] = []

    def refuse(file: Path, message: str, hint: str) -> None:
        problems.append(Problem(Place(shown_path(file, root)), "static-file", message, hint))

    if not os.path.lexists(folder):
        return StaticFiles(), []
    if folder.is_symlink() or not folder.is_dir():
        refuse(folder, f'"{FOLDER}" is not a folder.', "Make it a folder, or rename it.")
        return StaticFiles(), problems
    for file in _files(folder, refuse):
        path = file.relative_to(folder).as_posix()
        try:
            files[path] = _read(root, path, file)
        except _RefusedError as reason:
            refuse(file, reason.message, reason.hint)
        except OSError as failure:
            why = (failure.strerror or "the system refuses").lower()
            refuse(file, f"This file cannot be read ({why}).", "Check its permissions.")
    if len(files) > _MOST_FILES:
        refuse(
            folder,
            f"There are {len(files)} files in this folder, but at most {_MOST_FILES} are allowed.",
            "Keep only those that hosts and browsers ask for.",
        )
    return StaticFiles(files), problems


def _files(folder: Path, refuse: Refuse) -> Iterator[Path]:
    """Every file below a folder, sorted by name. Links to folders are not followed: they count as
    files."""
    try:
        with os.scandir(folder) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError as failure:
        why = (failure.strerror or "the system refuses").lower()
        refuse(folder, f"This folder cannot be read ({why}).", "Check its permissions.")
        return
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            yield from _files(Path(entry.path), refuse)
        elif not is_left_behind(entry.name):
            yield Path(entry.path)


def _largest(path: str) -> int | None:
    """The largest size in bytes that the file at this path in the folder may have; None when it is
    not allowed there."""
    parts = path.split("/")
    if not all(_PLAIN.fullmatch(part) and part not in (".", "..") for part in parts):
        return None
    if parts[0] == _WELL_KNOWN and len(parts) > 1:
        return _TEXT if PurePosixPath(path).suffix in _WELL_KNOWN_ENDINGS else None
    matches = (size for name, size in _LARGEST.items() if fnmatchcase(path, name))
    return next(matches, None) if len(parts) == 1 else None


def _read(root: Path, path: str, file: Path) -> bytes:
    """The content of a file that may be published. `path` is its path below the folder `static/` of
    the handbook in `root`. Raises _RefusedError if it may not be published, and OSError if it
    cannot be read."""
    if file.is_symlink():
        raise _RefusedError(
            "This is a symbolic link to another file; links are not published.",
            "Put the file itself here instead of the link.",
        )
    if not file.is_file():
        raise _RefusedError("This is not an ordinary file.", "Remove it from this folder.")
    largest = _largest(path)
    if largest is None:
        raise _RefusedError(*_misplaced(path))
    if file.stat().st_size > largest:
        raise _RefusedError(
            f"This file is larger than {_size(largest)}.", "Make it smaller, or delete it."
        )
    if file.suffix in _BEGINS and os.path.lexists(root / path):
        raise _RefusedError(
            f'The file "{root.name}/{path}" is published under the same address.',
            "Delete one of the two.",
        )
    content = file.read_bytes()
    begins = _BEGINS.get(file.suffix)
    if begins is not None:
        if not content.startswith(begins):
            kind = file.suffix[1:].upper()
            raise _RefusedError(
                f'The name ends in "{file.suffix}", but the file is not in the format {kind}.',
                f"Save the icon as {kind} in a drawing program; renaming it is not enough.",
            )
        return content
    _check_text(content)
    if path == "CNAME":
        _check_host(content.decode())
    return content


def _misplaced(path: str) -> tuple[str, str]:
    """The message and the hint for a file that the folder `static/` may not contain. `path` is its
    path below that folder."""
    first, _, rest = path.partition("/")
    hint = f"Remove it. These files are allowed: {ALLOWED}."
    if rest and first != _WELL_KNOWN and _largest(path.rpartition("/")[2]) is not None:
        hint = (
            f'Move it directly into the folder "{FOLDER}/": browsers look for it only at the top '
            "of a site."
        )
    elif PurePosixPath(path).suffix.lower() in (".jpg", ".jpeg", ".gif", ".webp", ".avif", ".pdf"):
        hint = "Move it to another folder of the handbook, from which it is published."
    elif any(fnmatchcase(path.lower(), name.lower()) for name in _LARGEST):
        hint = (
            "Write its name without spaces and accents, and with capital and small letters as in "
            '"CNAME", "robots.txt", ".ico" and ".png".'
        )
    return f'The file "{path}" is not allowed in the folder "{FOLDER}/".', hint


def _check_text(content: bytes) -> None:
    """Refuse a file that a browser could take for a page. Without a stated type a browser guesses,
    and every sign of HTML or XML that it looks for begins with `<` after white space (WHATWG, MIME
    Sniffing standard, section 7.1). Raises _RefusedError."""
    try:
        text = content.decode()
    except UnicodeDecodeError as error:
        raise _RefusedError(
            "This file is not text in UTF-8.", 'Save it again with the encoding "UTF-8".'
        ) from error
    if text.lstrip("\ufeff\0\t\n\f\r ").startswith("<"):
        raise _RefusedError(
            "This file begins like a web page, which is not allowed here.",
            "Write plain text in it, or delete the file.",
        )


def _check_host(text: str) -> None:
    """Refuse a CNAME file whose text is not a host name. Raises _RefusedError."""
    host = text.strip()
    if _HOST.fullmatch(host):
        return
    name = re.sub(r"^[a-z]+://", "", host.lower()).partition("/")[0]
    example = name if _HOST.fullmatch(name) else "handbook.example.org"
    raise _RefusedError(
        "This file does not contain the name of a web host.",
        f'Write only the name under which the site is published, such as "{example}".',
    )


def _size(size: int) -> str:
    """A size in bytes, in words."""
    return f"{size // 1024} kB" if size >= 1024 else f"{size} bytes"
