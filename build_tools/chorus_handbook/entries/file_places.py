"""Reports files of a handbook that nothing reads, so that none is skipped in silence.

A file whose name or content shows what it was meant to be, such as an exercise in the wrong folder,
is an error: its author believes that it is part of the handbook. Any other file that is neither
read nor published is a notice. Files that systems and editors leave behind are ignored.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from pathlib import Path, PurePosixPath
from typing import Final, Literal

from chorus_handbook.chorus.sound_font import KIND as SOUND_FONTS
from chorus_handbook.entries import kinds
from chorus_handbook.entries.files import files_below, markdown_files
from chorus_handbook.entries.misplaced import looks_like_exercise, out_of_place
from chorus_handbook.entries.static_files import FOLDER as STATIC
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.named_files import NamedFileKind
from chorus_handbook.source.names import is_left_behind

#: Scores from notation editors.
SCORES = NamedFileKind(
    "score",
    "score",
    kinds.SCORES,
    (".musicxml", ".xml", ".mxl"),
    ".musicxml or .mxl",
    "Export the score from the notation editor as MusicXML (.musicxml or .mxl).",
)
#: Endings of pictures and documents, which may lie in any folder of a handbook.
PUBLISHED = frozenset((".png", ".jpg", ".jpeg", ".webp", ".avif", ".gif", ".pdf"))
_FOR_THE_SERVER = frozenset(("CNAME", "robots.txt", ".nojekyll"))
_SETTINGS = ("chorus.yml", "vocabulary.yml", "views.yml")
#: Bytes at the start of a file that are read to see what it is.
_HEAD = 4096
#: More notices than this are not reported: it is probably a folder of something else.
_MOST_UNKNOWN = 20

#: What one rule says about one file: it belongs where it is; or a message and a hint; or None, when
#: the rule is not about such files.
Verdict = tuple[str, str] | Literal["belongs"] | None
_BELONGS: Final = "belongs"


def check_places(
    root: Path, scores: Collection[str] | None, fonts: Collection[str] | None
) -> list[Problem]:
    """Report files below the handbook `root` that nothing reads.

    `scores` are the files that exercises name, `fonts` those that chorus.yml names, as paths below
    `root`. Pass None when some of the naming files could not be read: then no file is reported as
    unused.
    """
    places = _Places(root, {*(scores or ()), *(fonts or ())})
    problems = [problem for path in places.files() if (problem := places.check(path))]
    problems += places.problems
    problems += _unused(root, SCORES, scores, "No exercise uses this score.")
    problems += _unused(root, SOUND_FONTS, fonts, "chorus.yml does not name this sound font.")
    notices = [problem for problem in problems if problem.severity == "notice"]
    return sorted({*problems} - {*notices[_MOST_UNKNOWN:]})


class _Places:
    """The check of one handbook; `named` are files that exercises or chorus.yml name."""

    def __init__(self, root: Path, named: Collection[str]) -> None:
        self._root = root
        self._named = named
        self._markdown = frozenset(markdown_files(root))
        self.problems: list[Problem] = []

    def files(self) -> Iterator[Path]:
        """Every file to check, in order. Folders that are wrong are added to `self.problems`."""
        for folder, inner, names in os.walk(self._root):
            here = Path(folder)
            top = here == self._root
            for name in sorted(inner):
                path = here / name
                if path.is_symlink():
                    self._add(
                        path,
                        "file-place",
                        "This is a link to a folder, which is not followed.",
                        "Put the folder itself here.",
                    )
                elif name == ".well-known":
                    self._add(
                        path,
                        "file-place",
                        f"{name} is only published from the folder {STATIC}/.",
                        f"Move it to {STATIC}/{name}.",
                    )
            inner[:] = sorted(
                name
                for name in inner
                if not _is_hidden(name)
                and not (here / name).is_symlink()
                and not (top and name == STATIC)
            )
            yield from (here / name for name in sorted(names) if not _is_hidden(name))

    def check(self, path: Path) -> Problem | None:
        """What is wrong with the place of a file, if anything."""
        inside = PurePosixPath(path.relative_to(self._root).as_posix())
        if inside.as_posix() in self._named:
            return None  # the stage that reads it reports what is wrong with it
        for rule in (_server_file, self._page, _picture, _setting, _kind):
            verdict = rule(path, inside)
            if verdict is _BELONGS:
                return None
            if isinstance(verdict, tuple):
                return self._problem(path, "file-place", *verdict)
        return self._by_content(path)

    def _page(self, path: Path, inside: PurePosixPath) -> Verdict:
        """A Markdown file. The files of kinds with a folder are checked in `files`."""
        if path not in self._markdown:
            return None
        elsewhere = inside.parts[0] in kinds.folders() or looks_like_exercise(_text(path))
        if elsewhere or path.suffix == ".md":
            return _BELONGS
        return (
            f"The name of a page ends in .md, not in {path.suffix}.",
            f"Rename it to {path.with_suffix('.md').name}.",
        )

    def _by_content(self, path: Path) -> Problem:
        text = _text(path)
        if looks_like_exercise(text):
            return out_of_place(path, self._root)
        if path.suffix.lower() == ".abc" or text.startswith("X:"):
            return self._problem(
                path,
                "file-place",
                "This looks like a tune in ABC, which is not read from a file of its own.",
                "Run: handbook import FILE. It makes an exercise of the tune.",
            )
        return self._problem(
            path,
            "file-unknown",
            "Nothing reads this file, and it is not published.",
            "Pages end in .md, published pictures and documents in "
            f"{', '.join(sorted(PUBLISHED))}. Move what is not for the handbook out of its folder.",
        )

    def _add(self, path: Path, code: str, message: str, hint: str) -> None:
        self.problems.append(self._problem(path, code, message, hint))

    def _problem(self, path: Path, code: str, message: str, hint: str) -> Problem:
        return Problem(Place(shown_path(path, self._root)), code, message, hint)


def _unused(
    root: Path, kind: NamedFileKind, used: Collection[str] | None, message: str
) -> Iterator[Problem]:
    """Report files in the folder of a kind that no field names; none when `used` is None."""
    if used is None:
        return
    for path in files_below(root / kind.folder):
        name = path.relative_to(root).as_posix()
        hidden = any(_is_hidden(part) for part in path.relative_to(root).parts)
        if path.suffix.lower() in kind.endings and name not in used and not hidden:
            yield Problem(
                Place(shown_path(path, root)),
                "file-unknown",
                message,
                f"Write {kind.field}: {name} where it is to be used, or delete the file.",
            )


def _is_hidden(name: str) -> bool:
    """Whether a file or folder of this name is ignored: hidden, or left behind by a program."""
    return name not in _FOR_THE_SERVER and (name.startswith(".") or is_left_behind(name))


def _server_file(path: Path, _inside: PurePosixPath) -> Verdict:
    if path.name not in _FOR_THE_SERVER and path.suffix.lower() != ".ico":
        return None
    return (
        f"{path.name} is only published from the folder {STATIC}/.",
        f"Move it to {STATIC}/{path.name}.",
    )


def _picture(path: Path, inside: PurePosixPath) -> Verdict:
    if inside.suffix.lower() not in PUBLISHED:
        return None
    root = path.parents[len(inside.parts) - 1]
    if path.is_file() and path.resolve().is_relative_to(root.resolve()):
        return _BELONGS
    return (
        "This is a symbolic link that leads out of the handbook, or nowhere: it is not published.",
        "Put the file itself here instead of the link.",
    )


def _setting(path: Path, inside: PurePosixPath) -> Verdict:
    """A settings file, or one with nearly its name: chorus.yaml, Views.yml, views.yml.txt."""
    stem, _, endings = inside.name.lower().partition(".")
    likely = endings in ("yml", "yaml", "yml.txt", "yaml.txt", "txt", "")
    if not likely or f"{stem}.yml" not in _SETTINGS:
        return None
    if inside.as_posix() == f"{stem}.yml":
        return _BELONGS
    root = path.parents[len(inside.parts) - 1]
    return (
        f"This looks like {stem}.yml, but it is not read under this name.",
        f"Move or rename it to {root.name}/{stem}.yml.",
    )


def _kind(path: Path, inside: PurePosixPath) -> Verdict:
    """A score or a sound font."""
    ending = inside.suffix.lower()
    for kind in (SCORES, SOUND_FONTS):
        if ending in kind.endings and (ending != ".xml" or b"<score-" in _head(path)):
            if inside.parts[0] == kind.folder:
                return _BELONGS
            return (
                f"This looks like a {kind.noun}, which is only read from {kind.folder}/.",
                f"Move it to {kind.folder}/{path.name}, and use it with {kind.field}: "
                f"{kind.folder}/{path.name}.",
            )
    return None


def _head(path: Path) -> bytes:
    """The first bytes of a regular file; empty when it cannot be read."""
    try:
        if path.is_file():
            with path.open("rb") as file:
                return file.read(_HEAD)
    except OSError:
        pass
    return b""


def _text(path: Path) -> str:
    head = _head(path)
    return "" if b"\0" in head else head.decode("utf-8-sig", "replace")
