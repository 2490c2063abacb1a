"""Notation into scores, and scores into measured facts.

A score (`score`) is relative to a tonic, so one serves every key; the keys are spelled in `keys`,
and what the exercise asks of each voice is measured in `measure` (`facts` says what the figures
mean, `facts_json` writes them). `READERS` has one reader for each form of notation, a package each.
Those that read what somebody else's standard defines hand over voices as they are `written`, and
these are put together alike: `unfold` writes out the repeats, `sung` and `bars` put them in time,
`singers` says who sings them, `ensemble` makes the score.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import MappingProxyType

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Entries, Entry, Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.music.measure import measure
from chorus_handbook.music.musicxml import read_musicxml
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

#: From notation to a score and problems. A score without parts holds only what was written: what
#: could be read of a text with problems. The names are the voices of the exercise.
Reader = Callable[[Notation, Chorus, Sequence[str]], tuple[Score | None, list[Problem]]]

#: How each form of notation is read that stands in the exercise itself.
READERS: dict[str, Reader] = {"degrees": read_degrees, "abc": read_abc}


@dataclass(frozen=True, slots=True)
class Music:
    """The scores and what was measured, by slug.

    `drafts` are for the checks of bars, lengths and syllables only: scores without parts, of texts
    that have problems elsewhere. No slug stands both in `scores` and in `drafts`.
    """

    scores: Mapping[str, Score] = field(default_factory=lambda: MappingProxyType({}))
    facts: Mapping[str, Facts] = field(default_factory=lambda: MappingProxyType({}))
    drafts: Mapping[str, Score] = field(default_factory=lambda: MappingProxyType({}))

    def complete(self, entry: Entry) -> bool:
        """Whether all that can be known of an exercise's notes is known."""
        return entry.source.notation is None or entry.slug in self.facts


def read_music(entries: Entries, chorus: Chorus, root: Path) -> tuple[Music, list[Problem]]:
    """Read and measure the notation of every exercise of the handbook in the folder `root`.

    Notation is read where the front matter is broken, too, so that all problems of a file show at
    once; measured are valid entries with a tempo and keys.
    """
    valid = {entry.source.path: entry for entry in entries.entries}
    scores: dict[str, Score] = {}
    drafts: dict[str, Score] = {}
    facts: dict[str, Facts] = {}
    problems: list[Problem] = []
    readers: dict[str, Reader] = {**READERS, "score": partial(read_musicxml, root=root)}
    for source in entries.sources:
        if source.notation is None:
            continue
        reader = readers[source.notation.kind]
        entry = valid.get(source.path)
        score, found = reader(source.notation, chorus, _voices(entry, chorus))
        problems += found
        if score is None or source.slug in scores or source.slug in drafts:
            continue
        if not score.parts:
            drafts[source.slug] = score
            continue
        scores[source.slug] = score
        if entry and entry.front.tempo and entry.front.key_path:
            front = entry.front
            keys = spell_keys(score, entry.front.key_path)
            facts[source.slug] = measure(
                source.slug,
                score,
                tempo=entry.front.tempo,
                keys=keys,
                passes=front.passes,
                lead_in=front.lead_in,
            )
    music = Music(MappingProxyType(scores), MappingProxyType(facts), MappingProxyType(drafts))
    return music, sorted(problems)


def _voices(entry: Entry | None, chorus: Chorus) -> tuple[str, ...]:
    """The voices that `all` stands for: those of the front matter, else the whole chorus."""
    stated = entry.front.voices if entry else None
    names = [stated] if isinstance(stated, str) else stated or ["all"]
    # A name nobody has is reported where the front matter is held against the chorus.
    return chorus.in_order([voice for name in names for voice in chorus.named(name) or ()]) or (
        tuple(chorus.voices)
    )
