"""Draws exercises in several processes at once: in new ones, and in this one while it waits.

The engraver gains nothing from threads, so a process is started for each further processor. It gets
one exercise after another, the longest first, and saves its drawings to the cache; only drawings
that cannot be written there are sent back. This process does other work meanwhile. When it has to
wait for a drawing, it draws exercises that no other process has begun. Score files are drawn by a
worker with limits, and one worker is enough, so all of them go to the same process.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, suppress
from pathlib import Path
from types import TracebackType

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import drawing_problem
from chorus_handbook.problems import Problem
from chorus_handbook.process_pool import ProcessPool, processes
from chorus_handbook.records.record import Exercise

#: Another process is started only if each process then has at least this many drawings to make.
_WORTH_SHARING = 60

#: The result of a job in three parts: why exercises could not be drawn, by slug; results that could
#: not be written to the cache, by their keys; and the counts of `Cache.made`.
_Answer = tuple[dict[str, str], dict[str, bytes], "Counter[str]"]


class DrawingPool:
    """Makes the drawings that the cache lacks, within a `with` block, at whose end all processes
    end. Where one process is enough, each exercise is drawn when it is waited for."""

    def __init__(
        self, exercises: Iterable[Exercise], root: Path, chorus: Chorus | None, cache: Cache
    ) -> None:
        missing = [e for e in exercises if chorus and e.drawings and e.drawings not in cache]
        self._missing = {exercise.slug: exercise for exercise in missing}
        self._entries = {exercise.slug: exercise.entry for exercise in missing}
        self._cache = cache
        self._arguments = root, chorus, cache.folder
        self._pending: dict[str, Future[_Answer]] = {}
        self._errors: dict[str, str] = {}
        self._pool = ExitStack()
        # All score files are one job, because one worker draws them; other exercises are one each.
        score_files = [exercise for exercise in missing if _is_score_file(exercise)]
        others = sorted((e for e in missing if not _is_score_file(e)), key=_length, reverse=True)
        drawings = sum(len(exercise.facts.keys) for exercise in others if exercise.facts)
        count = min(processes(), drawings // _WORTH_SHARING + 1, len(others))
        if count > 1:
            self._share(
                [*([score_files] if score_files else []), *([one] for one in others)], count
            )

    def __enter__(self) -> DrawingPool:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        failure: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._pool.__exit__(kind, failure, trace)

    def wait_for(self, exercise: Exercise) -> str:
        """Wait until an exercise is drawn, and meanwhile draw what no other process has begun.
        Returns "", or why it could not be drawn."""
        while exercise.slug in self._missing:
            begun = self._begun(exercise)
            busy = begun is not None and not begun.done()
            others = self._missing.values() if busy else ()
            self._complete(next((other for other in others if not self._begun(other)), exercise))
        return self._errors.get(exercise.slug, "")

    def problems(self) -> list[Problem]:
        """Wait for all exercises. Returns a problem for each that could not be drawn."""
        for exercise in list(self._missing.values()):
            self.wait_for(exercise)
        return [drawing_problem(self._entries[slug], why) for slug, why in self._errors.items()]

    def _share(self, jobs: Iterable[Sequence[Exercise]], count: int) -> None:
        """Begin to draw in `count` processes, this one included. Each of the `jobs` is a list of
        exercises for one process. If the system cannot start processes, this one draws everything
        later."""
        with suppress(BrokenProcessPool, OSError):
            pool = self._pool.enter_context(ProcessPool(count - 1))
            for exercises in jobs:
                future = pool.submit(draw, exercises, *self._arguments)
                self._pending |= {exercise.slug: future for exercise in exercises}

    def _begun(self, exercise: Exercise) -> Future[_Answer] | None:
        """The job of another process that draws this exercise; None if no process has begun it.
        Then the job is cancelled, so that none will begin it later."""
        future = self._pending.get(exercise.slug)
        if future is not None and future.cancel():
            del self._pending[exercise.slug]
            return None
        return future

    def _complete(self, exercise: Exercise) -> None:
        """Draw an exercise here, or wait for the process that draws it, and store the result."""
        del self._missing[exercise.slug]
        errors, unsaved, made = self._answer(exercise)
        self._errors |= errors
        self._cache.adopt(unsaved, made)

    def _answer(self, exercise: Exercise) -> _Answer:
        """Draw an exercise here, or wait for the process that draws it. Returns the result of that
        job."""
        with suppress(BrokenProcessPool, OSError):
            if future := self._pending.get(exercise.slug):
                answer = future.result()
                for slug in [n for n, other in self._pending.items() if other is future]:
                    del self._pending[slug]
                    self._missing.pop(slug, None)
                return answer
        return draw([exercise], *self._arguments)


def draw(
    exercises: Sequence[Exercise], root: Path, chorus: Chorus | None, folder: Path | None
) -> _Answer:
    """Draw exercises one after another, and save the drawings to the cache in `folder`. This runs
    in this process or in another one. Returns an `_Answer`: why exercises could not be drawn,
    results that could not be written, and how much was made."""
    from chorus_handbook.records.parts import Parts  # late: it imports this module

    cache = Cache(folder)
    if chorus is None:
        return {}, cache.in_memory, cache.made
    parts = Parts(root, chorus, cache)
    errors = {exercise.slug: parts.draw(exercise) for exercise in exercises}
    return {slug: why for slug, why in errors.items() if why}, cache.in_memory, cache.made


def _is_score_file(exercise: Exercise) -> bool:
    """Whether the music of an exercise is in a score file (MusicXML) rather than in its text."""
    notation = exercise.entry.source.notation
    return notation is not None and notation.kind == "score"


def _length(exercise: Exercise) -> int:
    """A number that is larger the longer an exercise takes to draw; only for comparing
    exercises."""
    notation, facts = exercise.entry.source.notation, exercise.facts
    return len(notation.text) * len(facts.keys) if notation and facts else 0
