"""`handbook renew`: converts the files of a handbook in an older format to the present format.

It first shows what it would change. Only names and values that the newer format writes differently
are changed; everything else stays as its author wrote it.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path
from typing import Any

from chorus_handbook import report
from chorus_handbook.chorus.file_format import FIRST_FORMAT, FORMAT, newer_format
from chorus_handbook.commands.files import edited, replace_all
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.files import content_files
from chorus_handbook.entries.front_matter import cut
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.prose import PAGE
from chorus_handbook.entries.renewal import VIEWS, renewed, with_format
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import read_text, read_yaml, shown_path

SUMMARY = "Convert the files of an older format to the present one, after showing what would change"

CHORUS = "chorus.yml"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--yes", action="store_true", help="write without asking")


@dataclass(frozen=True, slots=True)
class _File:
    """A file of the handbook: its name in messages, its present text, and its new text."""

    path: Path
    shown: str
    old: str
    new: str

    def diff(self) -> Iterator[str]:
        """The differences between the two texts, as a unified diff with three lines of context."""
        old, new = self.old.splitlines(), self.new.splitlines()
        yield from unified_diff(old, new, self.shown, self.shown, lineterm="")


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    files, problems = _files(root)
    if problems:
        print(report.as_text(problems), file=sys.stderr)
        print("handbook renew: nothing was changed; fix these files first.", file=sys.stderr)
        return 1
    changed = [file for file in files if file.new != file.old]
    if not changed:
        print(f"Nothing to change: the files are in format {FORMAT} already.", file=sys.stderr)
        return 0
    for file in changed:
        print(*file.diff(), sep="\n")
    if not (options.yes or _agreed(len(changed))):
        print("Nothing was written.", file=sys.stderr)
        return 1
    # chorus.yml states the format and is replaced last, so that an interrupted run can be repeated.
    replace_all({file.path: edited(file.path, file.old, file.new) for file in changed})
    print(f"{_counted(len(changed))} changed to format {FORMAT}.", file=sys.stderr)
    return 0


def _agreed(count: int) -> bool:
    """Ask at the keyboard whether to write the changes to this number of files. If there is nobody
    to ask, print how to write them, and return False."""
    if sys.stdin is None or not sys.stdin.isatty():
        print("To write these changes, run: handbook renew --yes", file=sys.stderr)
        return False
    sys.stdout.flush()
    try:
        answer = input(f"Write these changes to {_counted(count)}? (y/n) ")
    except EOFError:
        print(file=sys.stderr)
        return False
    return answer.strip().lower() in ("y", "yes")


def _counted(files: int) -> str:
    return "1 file" if files == 1 else f"{files} files"


def _files(root: Path) -> tuple[list[_File], list[Problem]]:
    """All files that have a format, with chorus.yml last, and the problems of files that cannot be
    read: errors of the file system, of the encoding or in YAML. The caller then changes nothing,
    because chorus.yml would state the new format while such a file was still in the old one."""
    text, problems = read_text(root / CHORUS, f"{root.name}/{CHORUS}")
    document, found = read_yaml(text or "", Place(f"{root.name}/{CHORUS}"))
    if text is None or document is None:
        return [], problems or found
    newer = newer_format(document)
    if newer:
        raise WrongUsageError(f"{newer.message} {newer.hint}")
    stated = document.data.get("format", FIRST_FORMAT)
    if not isinstance(stated, int) or isinstance(stated, bool) or stated < FIRST_FORMAT:
        place = document.place_of("format")
        return [], [
            Problem(
                place,
                "field-value",
                '"format" is not the number of a format that this program knows.',
                f"Write a number from 1 to {FORMAT}.",
            )
        ]
    if stated == FORMAT:
        return [], []
    sources = [
        (root / name, PAGE, name)
        for name in ("vocabulary.yml", VIEWS)
        if (root / name).exists() or (root / name).is_symlink()
    ]
    sources += [
        (file.path, file.kind, file.path.relative_to(root).as_posix())
        for file in content_files(root)
    ]
    files = []
    for path, kind, name in sources:
        shown = shown_path(path, root)
        old, found = read_text(path, shown)
        if old is None:
            # An empty file has nothing to convert, so it does not stand in the way of the others.
            problems += [problem for problem in found if problem.code != "file-empty"]
            continue
        errors = _syntax_errors(old, shown, kind)
        problems += errors
        if not errors:
            files.append(_File(path, shown, old, renewed(name, old, stated)))
    chorus = with_format(renewed(CHORUS, text, stated))
    files.append(_File(root / CHORUS, f"{root.name}/{CHORUS}", text, chorus))
    return files, sorted(problems)


def _syntax_errors(text: str, shown: str, kind: Kind[Any]) -> list[Problem]:
    """The YAML syntax errors in a file's fields."""
    if shown.endswith(".md"):
        parts, _ = cut(text, shown, kind)
        return _of_yaml(parts.front or "", shown, parts.front_line)
    if shown.endswith(VIEWS):
        # views.yml is a bare list, and `read_yaml` reads only mappings. The line put before the
        # list counts as line 0, so that problems have the line numbers of the file.
        text = "\n".join(["views:", *text.split("\n")])
        return _of_yaml(text, shown, 0)
    return _of_yaml(text, shown, 1)


def _of_yaml(text: str, shown: str, first_line: int) -> list[Problem]:
    """The problems because of which a text is not YAML; an empty list if it is."""
    document, problems = read_yaml(text, Place(shown), first_line)
    return [] if document is not None else problems
