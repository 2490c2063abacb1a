"""Makes the track of a routine: one MP3 file with all its exercises in order, a chapter for each.

A routine is a fixed list of exercises for any day. Each exercise begins with silence, in which its
instruction is said and its steps without notes are done. Then its notes are heard as in any track:
a chord, a count-in, and all its keys.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from math import ceil
from typing import TYPE_CHECKING, Any

from chorus_handbook import catalogue
from chorus_handbook.cache import Cache
from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.claims.run_length import LONGEST_RUN
from chorus_handbook.dependencies import SOUND
from chorus_handbook.sound.instrument import Tones
from chorus_handbook.sound.loudness import powers_of
from chorus_handbook.sound.mp3 import COMMENT, ChapterMark, mp3, tagged
from chorus_handbook.sound.schedule import PlaybackOptions, in_keys, run_seconds, schedule
from chorus_handbook.sound.tracks import COMPRESSION, gains_of, levels_of

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples


@dataclass(frozen=True, slots=True)
class Chapter:
    """One exercise of a routine: its name, the seconds of silence before its notes, its notes.json
    (None if it has no notes), the tonics of its keys in order, such as ("Eb4", "D4"), and the names
    of the voices that are not heard."""

    title: str
    silence: int
    notes: bytes | None = None
    keys: tuple[str, ...] = ()
    absent: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class RoutineTrack:
    """The input from which the track of a routine is made. `chorus` is the name of the chorus, and
    `index` the instrument's index with the loudness of its tones. Only the tempo and tuning of
    `options` are used. `voice` is the voice in front and `label` its name for readers; both are
    empty if all voices are equally loud."""

    slug: str
    title: str
    chapters: tuple[Chapter, ...]
    options: PlaybackOptions
    chorus: str
    index: bytes
    voice: str = ""
    label: str = ""

    @property
    def file(self) -> str:
        """The name of its MP3 file, with the voice in front and the tempo and tuning if they are
        not the usual ones."""
        return f"{self.slug}{f'-{self.voice}' if self.voice else ''}{self.options.suffix}.mp3"

    @property
    def sounds(self) -> bool:
        """Whether any of its exercises has notes."""
        return any(chapter.notes for chapter in self.chapters)

    @property
    def why_not(self) -> str:
        """Why it cannot be made; empty if it can."""
        if not self.sounds:
            return "none of its exercises has notes, so there is nothing to hear"
        seconds = sum(chapter.silence + self._run(chapter)[1] for chapter in self.chapters)
        if seconds > LONGEST_RUN:
            most = f"a track lasts {LONGEST_RUN / 60:.0f} minutes at most"
            return f"it takes {ceil(seconds / 60)} minutes, and {most}"
        return ""

    def cache_key(self, tones: Tones) -> str:
        """The key of its MP3 file in the cache."""
        # The order of a set differs from run to run.
        what = [
            repr((one.title, one.silence, one.notes, one.keys, sorted(one.absent)))
            for one in self.chapters
        ]
        own = self.title, repr(self.options), self.chorus, self.voice, self.label, self.index
        version = SOUND.version(), catalogue.version(), tones.name
        return Cache.key("routine-track", *version, *own, *what)

    def encode(self, tones: Tones) -> bytes:
        """Its MP3 file with tags and chapters. Raises EncodingError where no encoder is installed,
        and what `tones` raise."""
        from chorus_handbook.sound.tone import RATE

        counts: list[int] = []  # the number of samples in each chapter

        def blocks() -> Iterator[Samples]:
            for chapter in self.chapters:
                counts.append(0)
                for block in self._blocks(chapter, tones):
                    counts[-1] += len(block)
                    yield block

        sound = mp3(blocks(), RATE, COMPRESSION)
        edges = [round(1000 * count / RATE) for count in accumulate(counts, initial=0)]
        marks = [
            ChapterMark(chapter.title, start, end)
            for chapter, (start, end) in zip(self.chapters, pairwise(edges), strict=True)
        ]
        return tagged(sound, self._tags(), marks)

    def _run(self, chapter: Chapter) -> tuple[dict[str, Any], float]:
        """The notes of a chapter in its keys, and how many seconds they take; empty and 0 if it has
        no notes."""
        if chapter.notes is None:
            return {}, 0.0
        notes = in_keys(json.loads(chapter.notes), chapter.keys)
        return notes, run_seconds(notes, self._options)

    @property
    def _options(self) -> PlaybackOptions:
        return replace(self.options, chord_first=True)

    def _blocks(self, chapter: Chapter, tones: Tones) -> Iterator[Samples]:
        """The samples of a chapter: the silence, then the notes."""
        from chorus_handbook.sound.render import render, silence

        yield silence(chapter.silence)
        notes, seconds = self._run(chapter)
        if not notes:
            return
        levels = self._levels(notes, chapter)
        gains = gains_of(notes, self._options, levels, powers_of(self.index))
        yield render(schedule(notes, self._options), seconds, levels, tones, gains)

    def _levels(self, notes: Mapping[str, Any], chapter: Chapter) -> dict[str, float]:
        """The levels of the voices in the mix, keyed by the name of the voice; 0 for those that are
        absent. In an exercise in which the voice in front does not sing, all others are equally
        loud."""
        names = [one["name"] for one in notes["voices"] if one["notes"]]
        levels = levels_of(notes, self.voice) if self.voice in names else {}
        return levels | dict.fromkeys(chapter.absent, 0.0)

    def _tags(self) -> dict[str, str]:
        """The texts of its tags by frame (`mp3`): the album is that of all routines."""
        count = len(self.chapters)
        tuning = _("just intonation") if self.options.just else _("equal temperament")
        return {
            "TIT2": f"{self.title} – {self.label}" if self.label else self.title,
            "TPE1": self.chorus,
            "TALB": _("Routines"),
            COMMENT: ngettext(
                "{n} exercise; {tuning}", "{n} exercises; {tuning}", count, tuning=tuning
            ),
        }
