"""A file to text: UTF-8, one kind of line end, no character that cannot be seen or printed."""

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

#: More than any exercise needs; a larger file is refused unread.
LARGEST_FILE = 256 * 1024

_CLIPPED = 40

#: Characters that may not stand in a file: controls, the line ends of other systems (which would
#: make two programs count lines differently), characters that nobody can see, those that turn the
#: direction of what follows them, so that a text reads differently from what it says (Unicode
#: Standard Annex #9, characters with the property Bidi_Control), and halves of characters, which
#: no UTF-8 text holds but a command line may.
FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ufffe\uffff\ud800-\udfff]"
)
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
_WIDE_MARKS = {
    b"\xff\xfe\x00\x00": "UTF-32",
    b"\x00\x00\xfe\xff": "UTF-32",
    b"\xff\xfe": "UTF-16",
    b"\xfe\xff": "UTF-16",
}


#: Contents that are read instead of files, while `in_place_of` is in force.
_UNSAVED: ContextVar[Mapping[Path, bytes]] = ContextVar("_UNSAVED", default=MappingProxyType({}))


@contextmanager
def in_place_of(path: Path, content: bytes) -> Iterator[None]:
    """While the block runs, read `content` instead of the file at `path`: an editor holds a text
    that is not saved yet."""
    before = _UNSAVED.set({**_UNSAVED.get(), path: content})
    try:
        yield
    finally:
        _UNSAVED.reset(before)


def unsaved(path: Path) -> bytes | None:
    """The content that is read instead of this file, if there is one (`in_place_of`)."""
    return _UNSAVED.get().get(path)


def clip(text: object) -> str:
    """A value short enough to stand in a message, on one line."""
    line = " ".join(str(text).split())
    return line if len(line) <= _CLIPPED else line[: _CLIPPED - 1] + "…"


def shown_path(path: Path, root: Path) -> str:
    """The name of a file for messages, from the handbook's folder on. What a terminal could not
    show, such as a line break in a file's name, is replaced."""
    name = f"{root.name}/{path.relative_to(root).as_posix()}"
    printable = name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    return "".join(
        sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in printable
    )


def read_text(path: Path, shown: str) -> tuple[str | None, list[Problem]]:
    """The text of a file of the handbook, with `\\n` as its only line end.

    `shown` is the name for messages, from the handbook folder on ("handbook/chorus.yml"). A byte
    order mark is dropped; forbidden characters are reported and replaced by a space, so that
    lines and columns stay those of the file. The text is None when there is nothing to go on with.
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
            "Look at its permissions: you need the right to read it. A link must lead to a file.",
        )
    if refused is not None:
        return None, Problem(Place(shown), "file-missing", *refused)
    return None, _too_large(shown)


def _too_large(shown: str) -> Problem:
    return Problem(
        Place(shown),
        "file-size",
        f"This file is larger than {LARGEST_FILE // 1024} kB.",
        "Split it, or check that it is the file you mean; large scores belong in scores/.",
    )


_NO_FILE = ("There is no such file.", "Create it, or correct the name where it is used.")
_LOST_LINK = ("This link leads nowhere.", "Put the file itself here instead of a link to it.")


def _refused(path: Path, root: Path, found: os.stat_result) -> tuple[str, str] | None:
    """Message and hint when the path is not an ordinary file inside this handbook."""
    if not path.resolve().is_relative_to(root.resolve()):
        return (
            "This link leads out of the handbook.",
            "Put the file itself here instead of a link to it.",
        )
    if stat.S_ISDIR(found.st_mode):
        return (
            "This is a folder; it should be a file.",
            "Rename the folder, or move it elsewhere.",
        )
    if not stat.S_ISREG(found.st_mode):
        return ("This is not an ordinary file.", "Put a plain text file here.")
    return None


def _decoded(data: bytes, shown: str) -> tuple[str | None, Problem | None]:
    for mark, name in _WIDE_MARKS.items():
        if data.startswith(mark):
            return None, Problem(
                Place(shown),
                "file-encoding",
                f"This file is saved as {name}.",
                'Save it again with the encoding "UTF-8".',
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
            f"The byte 0x{byte:02X} here is not UTF-8{_likely(byte)}.",
            'Save the file again with the encoding "UTF-8".',
        )


def _likely(byte: int) -> str:
    """What the byte was probably meant to be, in the older encoding of Western systems."""
    meant = bytes([byte]).decode("cp1252", "ignore")
    return f' (in an older encoding it is "{meant}")' if meant.isprintable() and meant else ""


def forbidden_characters(text: str, place: Place, first_line: int = 1) -> list[Problem]:
    """One problem for each forbidden character, where it first stands. The text begins on line
    `first_line` of the file that `place` names."""
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
                f"There is an invisible character here, U+{ord(character):04X} ({name})"
                + (f", and in {more} more places." if more else "."),
                "Delete the characters around this spot and retype them.",
            )
        )
    return problems
