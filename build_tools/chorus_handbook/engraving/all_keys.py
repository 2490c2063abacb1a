"""All further keys of an exercise: drawn over the processors, and kept as a whole.

The first key is drawn by `engrave`, with its thumbnail; here are the others, each once. What was
drawn is stored by everything it depends on: the score, the chorus, the keys, the title, and the
code and settings that draw. So an unchanged exercise is not even laid out again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from hashlib import sha256
from multiprocessing import get_context
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import Engraved, EngravingError, drawing_problem, engrave_in_key
from chorus_handbook.engraving.engine import engraver_version
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

#: Fewer exercises than this are drawn sooner than other processes have started.
_WORTH_SHARING = 8


@dataclass(frozen=True, slots=True)
class _Job:
    """One exercise and the keys it is still to be drawn in."""

    slug: str
    title: str
    score: Score
    chorus: Chorus
    tonics: tuple[Pitch, ...]

    @property
    def key(self) -> str:
        """Names the result in the store. Where in the text a note stands changes no drawing."""
        return Cache.key(
            "keys",
            self.slug,
            self.title,
            repr(replace(self.score, blocks=())),
            self.chorus.model_dump_json(),
            " ".join(map(str, self.tonics)),
            engraver_version(),
            _code(),
        )


def engrave_keys(
    music: Music, entries: Entries, chorus: Chorus, cache: Cache
) -> tuple[Mapping[str, tuple[Engraved, ...]], list[Problem]]:
    """Every exercise that was measured in all its keys but the first, by slug, each key once, in
    singing order. These drawings have no thumbnails."""
    entry_of = {entry.slug: entry for entry in entries.entries}
    jobs = []
    for slug, facts in music.facts.items():
        further = tuple(dict.fromkeys(key for key in facts.keys if key != facts.keys[0]))
        if further and slug in entry_of and music.scores[slug].parts:
            title = entry_of[slug].front.title
            jobs.append(_Job(slug, title, music.scores[slug], chorus, further))
    found: dict[str, tuple[Engraved, ...]] = {}
    problems: list[Problem] = []
    wanted = []
    for job in jobs:
        stored = cache.get(job.key)
        if stored is None:
            wanted.append(job)
        else:
            found[job.slug] = tuple(map(_engraved, json.loads(stored)))
    for job, drawn in zip(wanted, _drawn(wanted), strict=True):
        if isinstance(drawn, str):
            problems.append(drawing_problem(entry_of[job.slug], job.score, drawn))
            continue
        found[job.slug] = drawn
        cache.put(job.key, json.dumps([_plain(one) for one in drawn]).encode())
    return {job.slug: found[job.slug] for job in jobs if job.slug in found}, problems


def _drawn(jobs: Sequence[_Job]) -> Iterable[tuple[Engraved, ...] | str]:
    """What was drawn for each job, or why nothing was."""
    processes = min(os.cpu_count() or 1, len(jobs) // _WORTH_SHARING)
    # Files of strangers have a process of their own, which is one for all.
    own = [job for job in jobs if job.score.file is None]
    if processes < 2 or not own:
        return [_draw(job) for job in jobs]
    try:
        with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
            answers = dict(zip((job.slug for job in own), pool.map(_draw, own), strict=True))
    except (BrokenProcessPool, OSError):  # no room for more processes: one will do
        answers = {}
    return [answers.get(job.slug) or _draw(job) for job in jobs]


def _draw(job: _Job) -> tuple[Engraved, ...] | str:
    try:
        return tuple(
            engrave_in_key(
                job.slug,
                job.title,
                job.score,
                chorus=job.chorus,
                tonic=tonic,
                cache=Cache(None),
                thumbnail=False,
            )
            for tonic in job.tonics
        )
    except EngravingError as error:
        return str(error)


def _plain(drawn: Engraved) -> dict[str, object]:
    fields = {name: getattr(drawn, name) for name in ("wide", "narrow", "thumbnail")}
    return {**fields, "tonic": asdict(drawn.tonic), "symbols": dict(drawn.symbols)}


def _engraved(fields: dict[str, object]) -> Engraved:
    tonic = fields.pop("tonic")
    return Engraved(tonic=Pitch(**tonic), **fields)  # type: ignore[arg-type]


@lru_cache(maxsize=1)
def _code() -> str:
    """Names the code that lays out and compacts: when it changes, everything is drawn anew."""
    folder = Path(__file__).parent
    files = sorted([*folder.glob("*.py"), *(folder.parent / "music").glob("*.py")])
    return sha256(b"".join(file.read_bytes() for file in files)).hexdigest()
