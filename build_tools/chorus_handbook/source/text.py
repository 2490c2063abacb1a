"""Reads a file as text. The text is in UTF-8, has `\\n` as its only line end, and contains no
invisible characters: whatever does not fit is reported."""

from __future__ import annotations

import os
import re
import stat
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from types import MappingProxyType

from chorus_handbook.problems import Place, Problem

#: The most bytes of a file. No exercise needs as many; a larger file is refused without reading it.
LARGEST_FILE = 256 * 1024
#: The most characters of a text that a message shows.
_CLIPPED = 40

#: Characters that a file may not contain: control characters; rare line ends, because of which
#: programs would count lines differently; invisible characters; those that change the direction of
#: the text, so that it can look different from what it says (Unicode Standard Annex #9, property
#: Bidi_Control); and surrogates, which can come from a command line.
FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ufffe\uffff\ud800-\udfff]"
)
#: Names for messages where Unicode has no name, or a less usual one.
_CHARACTER_NAMES = {
    "\x00": "NUL",
    "\x0b": "vertical tab",
    "\x0c": "form feed",
    "\x1b": "escape",
    "\x7f": "delete",
    "\x85": "next line",
    "\u200b": "zero-width space",
    "\u2028": "line separator",
    "\u2029": "paragraph separator",
    "\u2060": "word joiner",
    "\ufeff": "byte order mark",
}
#: The byte order marks of other encodings, with the names of these encodings.
_WIDE_MARKS = {
    b"\xff\xfe\x00\x00": "UTF-32",
    b"\x00\x00\xfe\xff": "UTF-32",
    b"\xff\xfe": "UTF-16",
    b"\xfe\xff": "UTF-16",
}


#: Contents to read instead of files, by path; set by `in_place_of`.
_UNSAVED: ContextVar[Mapping[Path, bytes]] = ContextVar("_UNSAVED", default=MappingProxyType({}))


@contextmanager
def in_place_of(path: Path, content: bytes) -> Iterator[None]:
    """While the block runs, `content` is read instead of the file at `path`. Editors use this to
    check a text that is not saved yet."""
    before = _UNSAVED.set({**_UNSAVED.get(), path: content})
    try:
        yield
    finally:
        _UNSAVED.reset(before)


def unsaved(path: Path) -> bytes | None:
    """The content to read instead of the file at `path`, if `in_place_of` has set one; otherwise
    None."""
    return _UNSAVED.get().get(path)


def clip(text: object) -> str:
    """The value as text on one line, cut to 40 characters, for use in a message."""
    line = " ".join(str(text).split())
    return line if len(line) <= _CLIPPED else line[: _CLIPPED - 1] + "…"


def shown_path(path: Path, root: Path) -> str:
    """The path of a file as messages show it, beginning with the name of the handbook's folder
    `root`: "handbook/exercises/low-tide.md". Characters that a terminal cannot show, such as a line
    break in the file's name, are replaced by "�"."""
    name = f"{root.name}/{path.relative_to(root).as_posix()}"
    printable = name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    return "".join(
        sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in printable
    )


def read_text(path: Path, shown: str) -> tuple[str | None, list[Problem]]:
    """Read a file of the handbook as text, with `\\n` as its only line end.

    `shown` is its path in messages (see `shown_path`). A byte order mark is dropped. Forbidden
    characters are reported and replaced by spaces, so that lines and columns stay those of the
    file. Returns the text, or None when the file is empty or cannot be read, and the problems.
    """
    data, problem = _bytes_of(path, shown)
    if data is None:
        return None, [problem] if problem else []
    text, problem = _decoded(data, shown)
    if text is None:
        return None, [problem] if problem else []
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        return None, [
            Problem(
                Place(shown),
                "file-empty",
                "This file is empty.",
                "Write something in it, or delete the file.",
            )
        ]
    problems = forbidden_characters(text, Place(shown))
    return FORBIDDEN.sub(" ", text) if problems else text, problems


def _bytes_of(path: Path, shown: str) -> tuple[bytes | None, Problem | None]:
    """The content of a file and None; or None and the problem. `shown` is the file's path as
    messages show it, which begins with the handbook's folder."""
    root = path.parents[max(shown.count("/") - 1, 0)]
    try:
        found = path.stat()
        refused = _refused(path, root, found)
        instead = unsaved(path)
        if refused is None and instead is not None:
            return (instead, None) if len(instead) <= LARGEST_FILE else (None, _too_large(shown))
        if refused is None and found.st_size <= LARGEST_FILE:
            with path.open("rb") as file:
                data = file.read(LARGEST_FILE + 1)
            if len(data) <= LARGEST_FILE:
                return data, None
    except FileNotFoundError:
        refused = _LOST_LINK if path.is_symlink() else _NO_FILE
    except (OSError, ValueError, RuntimeError) as reason:
        why = getattr(reason, "strerror", None) or "the system refuses"
        refused = (
            f"This file cannot be opened ({why.lower()}).",
            "Change its permissions so that your user can read it.",
        )
    if refused is not None:
        return None, Problem(Place(shown), "file-missing", *refused)
    return None, _too_large(shown)


def _too_large(shown: str) -> Problem:
    return Problem(
        Place(shown),
        "file-size",
        f"This file is larger than {LARGEST_FILE // 1024} kB, the most that a text file of a "
        "handbook may have.",
        'Split it, or check that it is the file you mean; scores belong in the folder "scores".',
    )


_NO_FILE = ("There is no such file.", "Create it, or correct the name where it is used.")
_LOST_LINK = (
    "This is a symbolic link to a file that does not exist.",
    "Put the file itself here instead of the link.",
)


def _refused(path: Path, root: Path, found: os.stat_result) -> tuple[str, str] | None:
    """Why the path is not an ordinary file inside the handbook `root`, as a message and a hint;
    None when it is one. `found` is what the system says about the path."""
    if not path.resolve().is_relative_to(root.resolve()):
        return (
            "This is a symbolic link that leads out of the handbook.",
            "Put the file itself here instead of the link.",
        )
    if stat.S_ISDIR(found.st_mode):
        return (
            "This is a folder, but a file is needed here.",
            "Rename the folder, or move it elsewhere.",
        )
    if not stat.S_ISREG(found.st_mode):
        return ("This is not an ordinary file.", "Put a plain text file here.")
    return None


def _decoded(data: bytes, shown: str) -> tuple[str | None, Problem | None]:
    """The text in these bytes, or None and the problem if they are not in UTF-8."""
    for mark, name in _WIDE_MARKS.items():
        if data.startswith(mark):
            return None, Problem(
                Place(shown),
                "file-encoding",
                f"This file is saved in the encoding {name}, which a handbook does not read.",
                'Open it in your text editor, and save it with the encoding "UTF-8".',
            )
    try:
        return data.decode("utf-8-sig"), None
    except UnicodeDecodeError as wrong:
        # `wrong.object` is what was decoded: the bytes behind a byte order mark.
        byte = wrong.object[wrong.start]
        before = wrong.object[: wrong.start].decode("utf-8")
        before = before.replace("\r\n", "\n").replace("\r", "\n")
        line = before.count("\n") + 1
        column = len(before) - (before.rfind("\n") + 1) + 1
        return None, Problem(
            Place(shown, line, column),
            "file-encoding",
            f"This file is not saved as UTF-8: the character here cannot be read{_likely(byte)}.",
            'Open the file in your text editor, and save it with the encoding "UTF-8".',
        )


def _likely(byte: int) -> str:
    """A remark for the message, such as ` (it is probably "é")`: the character that this byte
    stands for in the older encoding of Western systems (Windows-1252). An empty string if the byte
    stands for none there."""
    meant = bytes([byte]).decode("cp1252", "ignore")
    return f' (it is probably "{meant}")' if meant.isprintable() and meant else ""


def forbidden_characters(text: str, place: Place, first_line: int = 1) -> list[Problem]:
    """One problem for each kind of forbidden character in a text, where it first occurs. The text
    begins on line `first_line` of the file that `place` names."""
    first: dict[str, int] = {}
    for found in FORBIDDEN.finditer(text):
        first.setdefault(found[0], found.start())
    problems = []
    for character, start in first.items():
        more = text.count(character) - 1
        name = _CHARACTER_NAMES.get(character) or unicodedata.name(character, "control").lower()
        problems.append(
            Problem(
                place.at(
                    first_line + text.count("\n", 0, start), start - text.rfind("\n", 0, start)
                ),
                "file-character",
                f"There is an invisible character here ({name}, U+{ord(character):04X})"
                + (f", and in {more} more places." if more else "."),
                "Delete the letters on both sides of this spot, and type them again.",
            )
        )
    return problems
