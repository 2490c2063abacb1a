"""Puts a new handbook together in a temporary folder, and checks it before anything is written into
the user's folder.

It is made by trial: all files are written and checked, exercises with problems and views without
exercises are left out, and this is repeated until no exercise has a problem. A warm-up and a
routine are added last, in the same way.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Problem
from chorus_handbook.starters import choruses, plans, stock, texts
from chorus_handbook.starters.choruses import VoiceRange
from chorus_handbook.starters.exercises import Chosen, choose
from chorus_handbook.starters.stock import Amount

#: The highest impact there is, which excludes no exercise.
_NO_LIMIT = 5
#: Texts that are copied without links to pages that the new handbook does not have.
_PROSE = ("voice-care.md", "glossary.md")
#: The line of an exercise's file that states its level.
_LEVEL = re.compile(r"(?m)^level: .*\n")
#: The content of the new file .gitignore.
_GITIGNORE = """\
# What the program makes, and can make again.
/site/
/.site-*/
/tracks/
/.cache/
/.venv/
"""


@dataclass(frozen=True, slots=True)
class Choice:
    """What the user chose for a new handbook. `kind` is one of the ready choruses; if it is None,
    `voices` are the voices of the chorus, the highest first."""

    name: str
    kind: str | None
    voices: tuple[VoiceRange, ...]
    amount: Amount


@dataclass(frozen=True, slots=True)
class NewHandbook:
    """A handbook that is not written yet.

    files: their contents by path below the new folder, such as "handbook/chorus.yml".
    exercises: the slugs of its exercises.
    left_out: the exercises of the stock that this chorus cannot sing.
    problems: the problems that `handbook check` finds in it. There should be none.
    chorus: who sings, as its chorus.yml says it.
    """

    files: Mapping[str, bytes]
    exercises: tuple[str, ...]
    left_out: tuple[Chosen, ...] = ()
    problems: tuple[Problem, ...] = ()
    chorus: Chorus | None = None


def compose(choice: Choice, day: date) -> NewHandbook:
    """A whole handbook for a chorus, with an example of a warm-up on `day`. Raises OSError."""
    with tempfile.TemporaryDirectory(prefix="handbook-") as folder:
        return _Composer(choice, day, Path(folder) / "handbook").run()


@dataclass
class _Composer:
    """Makes the handbook by trial in the folder `root`: it writes and checks the files, and leaves
    out of the next attempt whatever has problems."""

    choice: Choice
    day: date
    root: Path
    chosen: list[Chosen] = field(default_factory=list)
    empty_views: set[str] = field(default_factory=set)
    #: Saves reading exercises again that are the same in the next attempt.
    cache: Cache = field(default_factory=lambda: Cache(None))
    written: dict[str, str] = field(default_factory=dict)

    def run(self) -> NewHandbook:
        """Put the handbook together. Raises OSError."""
        choice = self.choice
        self.root.mkdir()
        chorus = (
            choruses.ready_chorus(choice.kind, choice.name)
            if choice.kind
            else choruses.own_chorus(choice.voices, choice.name)
        )
        self._write("chorus.yml", chorus)
        self._write("vocabulary.yml", stock.read("handbook/vocabulary.yml"))
        config, problems = read_chorus_config(self.root)
        if config.chorus is None or config.vocabulary is None:
            return NewHandbook({}, (), (), tuple(problems))
        files = [*stock.exercise_files(choice.amount)]
        only_one = choice.amount == "one"
        # As the only exercise, one of the ready chorus is better than the last of the stock, which
        # has no notes.
        end = len(files) - 1 if only_one else len(files)
        if choice.kind:
            files[end:end] = sorted((choruses.FOLDER / choice.kind).glob("exercises/*.md"))
        scratch = self.root.parent / "scratch"
        scratch.mkdir()
        most = choruses.HIGHEST_IMPACT.get(choice.kind or "", _NO_LIMIT)
        root = stock.stock_folder() / "handbook"
        self.chosen = choose(files, root, config, most, scratch, everyone=only_one)
        book = self._checked()
        self._add_plans(book)
        book = self._read()
        settings = texts.settings(stock.read("mkdocs.yml"), choice.name)
        contents = {"mkdocs.yml": settings, ".gitignore": _GITIGNORE}
        contents |= {f"handbook/{path}": text for path, text in self.written.items()}
        return NewHandbook(
            {path: text.encode() for path, text in contents.items()},
            tuple(self._kept()),
            () if only_one else tuple(one for one in self.chosen if one.reason),
            book.problems,
            config.chorus,
        )

    def _kept(self) -> list[str]:
        """The slugs of the exercises that the new handbook gets: all that are not left out, or the
        first of them if it is to have only one."""
        kept = [one.slug for one in self.chosen if not one.reason]
        return kept[:1] if self.choice.amount == "one" else kept

    def _checked(self) -> Handbook:
        """Write all files except warm-ups and routines and check them, again and again, until no
        exercise has problems. Returns the checked handbook."""
        while True:
            self._write_all()
            book = self._read()
            # the code of the first problem of each file, by the name of the file
            codes = {Path(p.place.path).stem: p.code for p in reversed(book.problems)}
            broken = {
                one.slug: codes[one.slug]
                for one in self.chosen
                if one.slug in codes and not one.reason
            }
            full = {view.slug for view in book.views.saved if view.members}
            empty = {*texts.view_names(self.written["views.yml"])} - full
            if not broken and empty <= self.empty_views:
                return book  # if there are still problems, no exercise can be blamed
            self.empty_views |= empty
            self.chosen = [
                _without_problem(one, broken[one.slug]) if one.slug in broken else one
                for one in self.chosen
            ]

    def _write_all(self) -> None:
        """Write all files except warm-ups and routines as they are to be after what is known so
        far: without the exercises that are left out and the views that would be empty."""
        for path in self.written.keys() - {"chorus.yml"}:
            (self.root / path).unlink()
        self.written.clear()
        self._write("chorus.yml", (self.root / "chorus.yml").read_text("utf-8"))
        kept = self._kept()
        views = texts.views(stock.read("handbook/views.yml"), kept, self.empty_views)
        is_there = texts.known_pages(kept, texts.view_names(views))
        self._write("views.yml", views)
        vocabulary = stock.read("handbook/vocabulary.yml")
        self._write("vocabulary.yml", texts.vocabulary(vocabulary, is_there))
        for name in _PROSE:
            self._write(name, texts.without_dangling(stock.read(f"handbook/{name}"), is_there))
        home = texts.home(stock.read("handbook/index.md"), self.choice.name, is_there)
        self._write("index.md", home)
        for one in self.chosen:
            if one.slug in kept:
                path = f"exercises/{one.slug}.md"
                self._write(path, texts.with_references(one.text, kept))
                for name, content in one.files.items():
                    self._write(name, content.decode())

    def _add_plans(self, book: Handbook) -> None:
        """Add a warm-up and a routine, without the items about which the check has notices."""
        vocabulary, exercises = book.config.vocabulary, book.exercises
        assert vocabulary
        everyday = [slug for slug in stock.everyday() if slug in exercises]
        own = [slug for slug in self._kept() if slug not in everyday]
        children = self.choice.kind == "children"
        order = [*own, *everyday] if children else [*everyday, *own]
        items = plans.first_items({slug: exercises[slug] for slug in order}, vocabulary)

        def warm_up(slugs: list[str]) -> str:
            chosen = {slug: exercises[slug] for slug in slugs}
            return plans.warm_up(chosen, self.day, children=children)

        items = self._without_notices(plans.warm_up_path(self.day), items, warm_up)
        sung = [slug for slug in items if exercises[slug].facts] or items
        self._without_notices(plans.ROUTINE_PATH, sung, plans.routine)

    def _without_notices(
        self, path: str, items: list[str], text_of: Callable[[list[str]], str]
    ) -> list[str]:
        """Write a plan of these exercises, leaving out those about which the check has notices. If
        none is left, no plan is written."""
        while True:
            self._write(path, text_of(items))
            found = [p for p in self._read().problems if p.place.path == f"handbook/{path}"]
            if not found:
                return items
            if len(items) == 1:
                (self.root / path).unlink()
                del self.written[path]
                return items
            # the item that the first notice is about is the last one above its line
            lines = self.written[path].split("\n")[: found[0].place.line]
            named = sum(line.startswith("  - exercise: ") for line in lines) or len(items)
            items = [slug for number, slug in enumerate(items, 1) if number != named]

    def _read(self) -> Handbook:
        """Read and check the handbook in `root`."""
        return pipeline.read(self.root, self.cache)

    def _write(self, path: str, text: str) -> None:
        """Write a file of the handbook, and remember its text in `written`."""
        file = self.root / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8", newline="\n")
        self.written[path] = text


def _without_problem(one: Chosen, code: str) -> Chosen:
    """An exercise with a problem of this code, changed for the next attempt. If the problem is the
    level that it states, that line is removed, so that the level is measured. Otherwise the whole
    exercise is left out."""
    without = _LEVEL.sub("", one.text, count=1)
    if code == "level-claim" and without != one.text:
        return replace(one, text=without)
    return replace(one, reason="notices")
