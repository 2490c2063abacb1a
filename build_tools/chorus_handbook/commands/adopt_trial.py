"""Tries out for `handbook adopt` what `handbook check` would find if exercises were taken over from
another handbook.

The exercises are converted and written into a temporary copy of our handbook, which is then
checked. The copy contains all files that a check reads, but not those that are only published.
"Ours" is the handbook that gets the exercises, "theirs" the other one.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from types import TracebackType

from chorus_handbook import pipeline
from chorus_handbook.adopting.choices import Adopted, AdoptionError, Choices, Side
from chorus_handbook.adopting.exercise import adopt_exercise
from chorus_handbook.adopting.keys import in_our_keys
from chorus_handbook.cache import Cache
from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.sound_font import FOLDER as SOUNDS
from chorus_handbook.entries.static_files import FOLDER as STATIC
from chorus_handbook.problems import Problem

#: Problems of two exercises with the same name. They may be reported in either of the two files.
_SAME_NAME = ("title-twice", "plain-twice")


class Trial:
    """A temporary copy of our handbook, which is deleted at the end of the `with` block. Raises
    AdoptionError if a file cannot be copied."""

    def __init__(self, ours: Side, theirs: Side, cache: Cache) -> None:
        self._ours, self._theirs, self._cache = ours, theirs, cache
        self._opened = ExitStack()
        self._root = Path()
        self._before: list[Problem] = []
        self._adopted_files: set[str] = set()

    def __enter__(self) -> Trial:
        with ExitStack() as opening:
            folder = opening.enter_context(tempfile.TemporaryDirectory(prefix="handbook-adopt-"))
            self._root = Path(folder) / self._ours.root.name
            self._copy()
            self._before = pipeline.check(self._root, self._cache)
            self._opened = opening.pop_all()
        return self

    def _copy(self) -> None:
        """Copy the files of our handbook that a check reads. Raises AdoptionError."""
        root = self._ours.root
        skipped = {root / SOUNDS, root / STATIC}
        try:
            shutil.copytree(
                root,
                self._root,
                symlinks=True,
                ignore=lambda where, names: [
                    name for name in names if Path(where, name) in skipped or name.startswith(".")
                ],
            )
        except shutil.Error as failure:  # it lists (source, target, reason) for each file
            path = Path(failure.args[0][0][0]).relative_to(root.parent)
            raise AdoptionError(f"{path} cannot be read; correct or move it first") from failure

    def __exit__(
        self,
        kind: type[BaseException] | None,
        failure: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._opened.close()

    def run(
        self, slugs: Sequence[str], choices: Choices, changed: Mapping[str, bytes]
    ) -> list[Adopted]:
        """Write the files in `changed` (new contents of our files, by path within the handbook)
        into the copy, then the exercises with these slugs of the other handbook, in keys that our
        voices can sing. Returns these. Raises AdoptionError, ScoreFileError and OSError."""
        for name, content in changed.items():
            self._write(name, content)
        vocabulary = read_chorus_config(self._root)[0].vocabulary
        if vocabulary is None:
            raise AdoptionError(
                "the words cannot be added to vocabulary.yml; add them by hand first"
            )
        ours = replace(self._ours, vocabulary=vocabulary)
        done = []
        for slug in slugs:
            exercise = self._theirs.exercises[slug]
            adopted = adopt_exercise(exercise, self._theirs, ours, choices)
            self._adopted_files |= {adopted.page, *adopted.files}
            for name, content in adopted.files.items():
                self._write(name, content)
            adopted = in_our_keys(adopted, exercise.ladder, self._root, ours.chorus, vocabulary)
            self._write(adopted.page, adopted.text.encode())
            done.append(adopted)
        return done

    def problems(self) -> list[Problem]:
        """The problems that a check of the copy finds in the adopted files, and those of exercises
        that now have the same title or plain name as another."""
        adopted = {f"{self._root.name}/{name}" for name in self._adopted_files}
        return [
            problem
            for problem in pipeline.check(self._root, self._cache)
            if problem.place.path in adopted
            or (problem.code in _SAME_NAME and problem not in self._before)
        ]

    def _write(self, name: str, content: bytes) -> None:
        """Write a file of the copy. Raises AdoptionError if a link would lead out of the copy,
        for example into the handbook itself, which must not change yet."""
        path = self._root / name
        if not path.resolve().is_relative_to(self._root.resolve()):
            raise AdoptionError(
                f"{self._root.name}/{name} would be written through a link that leads out of the "
                "handbook; put the file or folder itself there"
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
