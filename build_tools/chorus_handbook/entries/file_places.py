"""Reports files of a handbook that the program does not read, so that none is skipped in silence.

If the name or content of such a file shows what it was meant to be, such as an exercise in the
wrong folder, the file is reported as an error, because its author believes that it is part of the
handbook. Any other file that is neither read nor published is reported as a notice. Files that
operating systems and editors leave behind are ignored.
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

#: The scores that notation editors export, in the folder scores/.
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
#: Names of files that a web server looks for. They are published only from the folder static/.
_FOR_THE_SERVER = frozenset(("CNAME", "robots.txt", ".nojekyll"))
_SETTINGS_FILES = ("chorus.yml", "vocabulary.yml", "views.yml")
#: How many bytes at the start of a file are read to see what it is.
_BYTES_OF_BEGINNING = 4096
#: At most this many notices are reported. When there are more, somebody has probably put a folder
#: that is not about the handbook into it, and more notices would not help.
_MOST_NOTICES = 20

#: What one rule says about a file: "accepted" (this module has nothing to report), or the message
#: and the hint of a problem, or None when the rule is not about files like this one.
Verdict = tuple[str, str] | Literal["accepted"] | None
_ACCEPTED: Final = "accepted"


def check_places(
    root: Path, scores: Collection[str] | None, fonts: Collection[str] | None
) -> list[Problem]:
    """Report files below the handbook's folder `root` that the program does not read.

    `scores` are the scores that exercises name in a field, `fonts` the sound fonts that chorus.yml
    names, both as paths below `root`. Pass None for `scores` when an exercise could not be read,
    and for `fonts` when chorus.yml could not be read: then it is not known which files are in use,
    and none of that kind is reported as unused.
    """
    check = _PlaceCheck(root, {*(scores or ()), *(fonts or ())})
    problems = [problem for path in check.files() if (problem := check.problem_of(path))]
    problems += check.problems
    problems += _unused(root, SCORES, scores, "No exercise uses this score.")
    problems += _unused(root, SOUND_FONTS, fonts, "chorus.yml does not name this sound font.")
    notices = [problem for problem in problems if problem.severity == "notice"]
    return sorted({*problems} - {*notices[_MOST_NOTICES:]})


class _PlaceCheck:
    """Checks the files of the handbook in the folder `root`.

    `named` are the scores and sound fonts that an exercise or chorus.yml names in a field, as paths
    below `root`. `files` lists the files to check; the problems of folders that it comes across are
    added to `problems`.
    """

    def __init__(self, root: Path, named: Collection[str]) -> None:
        self._root = root
        self._named = named
        self._markdown = frozenset(markdown_files(root))
        self.problems: list[Problem] = []

    def files(self) -> Iterator[Path]:
        """The files to check, folder by folder. Problems of folders go into `self.problems`."""
        for folder, subfolders, names in os.walk(self._root):
            here = Path(folder)
            top = here == self._root
            for name in sorted(subfolders):
                path = here / name
                if path.is_symlink():
                    self._add(
                        path,
                        "file-place",
                        "This is a symbolic link to a folder. Such links are not followed.",
                        "Put the folder itself here instead of the link.",
                    )
                elif name == ".well-known":
                    self._add(
                        path,
                        "file-place",
                        f'"{name}" is only published from the folder "{STATIC}/".',
                        f'Move it to "{STATIC}/{name}".',
                    )
            # os.walk goes on with the folders that are left in this list. `static/` is checked by
            # `static_files`.
            subfolders[:] = sorted(
                name
                for name in subfolders
                if not _is_hidden(name)
                and not (here / name).is_symlink()
                and not (top and name == STATIC)
            )
            yield from (here / name for name in sorted(names) if not _is_hidden(name))

    def problem_of(self, path: Path) -> Problem | None:
        """The problem of a file that is not read or published where it is; None if it is."""
        inside = PurePosixPath(path.relative_to(self._root).as_posix())
        if inside.as_posix() in self._named:
            return None  # whatever reads this score or sound font reports what is wrong with it
        rules = (
            *(_check_server_file, self._check_markdown, _check_published),
            *(_check_settings_file, _check_score_or_sound_font),
        )
        for rule in rules:
            verdict = rule(path, inside)
            if verdict is _ACCEPTED:
                return None
            if isinstance(verdict, tuple):
                return self._problem(path, "file-place", *verdict)
        return self._problem_by_content(path)

    def _check_markdown(self, path: Path, inside: PurePosixPath) -> Verdict:
        """The verdict on a Markdown file. The name of a page must end in .md, not in .markdown. Two
        sorts of Markdown files are accepted here, because other modules report their wrong names
        and places: `files` those in exercises/, warmups/ and routines/, and `records/making`
        exercises outside exercises/."""
        if path not in self._markdown:
            return None
        reported_elsewhere = inside.parts[0] in kinds.folders() or looks_like_exercise(
            _beginning_as_text(path)
        )
        if reported_elsewhere or path.suffix == ".md":
            return _ACCEPTED
        return (
            f'The name of a page must end in ".md", but this one ends in "{path.suffix}".',
            f'Rename it to "{path.with_suffix(".md").name}".',
        )

    def _problem_by_content(self, path: Path) -> Problem:
        """The problem of a file for which no rule has a verdict. It depends on what the content of
        the file seems to be: an exercise, a tune in ABC, or something else."""
        text = _beginning_as_text(path)
        if looks_like_exercise(text):
            return out_of_place(path, self._root)
        if path.suffix.lower() == ".abc" or text.startswith("X:"):
            return self._problem(
                path,
                "file-place",
                "This looks like a tune in ABC notation, which is only read inside an exercise.",
                f'Run "handbook import {shown_path(path, self._root)}" to make an exercise of it.',
            )
        return self._problem(
            path,
            "file-unknown",
            "Nothing reads this file, and it is not published.",
            "If it is a page, its name must end in .md; if it is a picture or a document, in "
            f"{', '.join(sorted(PUBLISHED))}. Otherwise move it out of the handbook.",
        )

    def _add(self, path: Path, code: str, message: str, hint: str) -> None:
        self.problems.append(self._problem(path, code, message, hint))

    def _problem(self, path: Path, code: str, message: str, hint: str) -> Problem:
        return Problem(Place(shown_path(path, self._root)), code, message, hint)


def _unused(
    root: Path, kind: NamedFileKind, used: Collection[str] | None, message: str
) -> Iterator[Problem]:
    """Report scores or sound fonts, depending on `kind`, that no field names. `used` are the paths
    that fields name; None when they are not all known, and then nothing is reported."""
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
                f'Write "{kind.field}: {name}" where it is to be used, or delete the file.',
            )


def _is_hidden(name: str) -> bool:
    """Whether a file or folder of this name is ignored: hidden, or left behind by a program."""
    return name not in _FOR_THE_SERVER and (name.startswith(".") or is_left_behind(name))


# The rules below get the path of a file, and the same path relative to the handbook's folder.


def _check_server_file(path: Path, _inside: PurePosixPath) -> Verdict:
    """The verdict on a file that a web server or a browser looks for, such as robots.txt or
    favicon.ico."""
    if path.name not in _FOR_THE_SERVER and path.suffix.lower() != ".ico":
        return None
    return (
        f'"{path.name}" is only published from the folder "{STATIC}/".',
        f'Move it to "{STATIC}/{path.name}".',
    )


def _check_published(path: Path, inside: PurePosixPath) -> Verdict:
    """The verdict on a picture or document that is published: it may be anywhere in the handbook,
    but not a link to something outside."""
    if inside.suffix.lower() not in PUBLISHED:
        return None
    root = path.parents[len(inside.parts) - 1]
    if path.is_file() and path.resolve().is_relative_to(root.resolve()):
        return _ACCEPTED
    return (
        "This is a symbolic link that leads out of the handbook or to no file, so it is not "
        "published.",
        "Put the file itself here instead of the link.",
    )


def _check_settings_file(path: Path, inside: PurePosixPath) -> Verdict:
    """The verdict on a settings file, or a file with nearly such a name: chorus.yaml, Views.yml,
    views.yml.txt."""
    stem, _, endings = inside.name.lower().partition(".")
    plausible = endings in ("yml", "yaml", "yml.txt", "yaml.txt", "txt", "")
    if not plausible or f"{stem}.yml" not in _SETTINGS_FILES:
        return None
    if inside.as_posix() == f"{stem}.yml":
        return _ACCEPTED
    root = path.parents[len(inside.parts) - 1]
    return (
        f'This looks like the file "{stem}.yml", but under this name or in this folder it is not '
        "read.",
        f'Move or rename it to "{root.name}/{stem}.yml".',
    )


def _check_score_or_sound_font(path: Path, inside: PurePosixPath) -> Verdict:
    """The verdict on a score or a sound font, which must be in scores/ or sounds/. A file that ends
    in .xml is taken for a score only if it has the root element of MusicXML, such as
    <score-partwise>."""
    ending = inside.suffix.lower()
    for kind in (SCORES, SOUND_FONTS):
        if ending in kind.endings and (ending != ".xml" or b"<score-" in _beginning(path)):
            if inside.parts[0] == kind.folder:
                return _ACCEPTED
            return (
                f"This looks like a {kind.noun}, but a {kind.noun} is only read from the folder "
                f'"{kind.folder}/".',
                f'Move it to "{kind.folder}/{path.name}", and write '
                f'"{kind.field}: {kind.folder}/{path.name}" where it is to be used.',
            )
    return None


def _beginning(path: Path) -> bytes:
    """The first bytes of an ordinary file; no bytes when it cannot be read."""
    try:
        if path.is_file():
            with path.open("rb") as file:
                return file.read(_BYTES_OF_BEGINNING)
    except OSError:
        pass
    return b""


def _beginning_as_text(path: Path) -> str:
    """The beginning of a file as text; empty when it holds a zero byte, which text never does."""
    beginning = _beginning(path)
    return "" if b"\0" in beginning else beginning.decode("utf-8-sig", "replace")
