"""The costly parts of exercises: their drawings, and what can be heard of them.

They are many times as large as a record and are kept apart from it, so that a handbook of any size
is held in memory without them: whoever needs a part loads it, and lets go of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import Drawable, Engraved, EngravingError, engrave_in_keys
from chorus_handbook.entries.model import Entry
from chorus_handbook.music import read_music
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Score
from chorus_handbook.records.drawing import Drawing
from chorus_handbook.records.record import Exercise
from chorus_handbook.sound import Heard, hear
from chorus_handbook.voices import Ladder

#: Glyphs that a drawing refers to.
_USED = re.compile(r'href="#([^"]+)"')


@dataclass(frozen=True, slots=True)
class Thumbnail:
    """The first bars of an exercise as an svg element, and the signs that it refers to."""

    svg: str
    symbols: Mapping[str, str]


_THUMBNAIL = TypeAdapter(Thumbnail)
_ENGRAVED: TypeAdapter[tuple[Engraved, ...]] = TypeAdapter(tuple[Engraved, ...])


class Parts:
    """Loads the parts of a handbook's exercises, and makes what the store does not hold. `root` is
    the handbook's folder; what is being made (`drawing`) is waited for."""

    def __init__(
        self, root: Path, chorus: Chorus, cache: Cache, drawing: Drawing | None = None
    ) -> None:
        self._root, self._chorus, self._cache, self._drawing = root, chorus, cache, drawing

    def draw(self, exercise: Exercise) -> str:
        """Draw one exercise in all its keys, and store that. Returns why it could not be drawn, or
        nothing."""
        drawable = self.drawable(exercise)
        if drawable is None:
            return ""
        try:
            drawn = engrave_in_keys(drawable)
        except EngravingError as error:
            return str(error)
        self._cache.made["drawn"] += 1
        self._cache.made["keys"] += len(drawn)
        self._keep(exercise, drawn)
        return ""

    def _keep(self, exercise: Exercise, drawn: tuple[Engraved, ...]) -> Thumbnail:
        """Store drawings, and the thumbnail apart: lists need nothing else of them."""
        first = drawn[0]
        used = _USED.findall(first.thumbnail)
        small = Thumbnail(first.thumbnail, {n: first.symbols[n] for n in sorted({*used})})
        self._cache.put(exercise.drawings, _ENGRAVED.dump_json(drawn))
        self._cache.put(_thumbnail(exercise), _THUMBNAIL.dump_json(small))
        return small

    def thumbnail(self, exercise: Exercise) -> Thumbnail | None:
        """The thumbnail of an exercise; None where it cannot be drawn."""
        self._wait_for(exercise)
        stored = self._cache.get(_thumbnail(exercise)) if exercise.drawings else None
        if stored is not None:
            with suppress(ValidationError):  # damaged: it is made again
                return _THUMBNAIL.validate_json(stored)
        drawn = self.drawings(exercise)
        return self._keep(exercise, drawn) if drawn else None

    def drawings(self, exercise: Exercise) -> tuple[Engraved, ...]:
        """An exercise in all its keys; nothing where it cannot be drawn."""
        if not exercise.drawings:
            return ()
        if self._wait_for(exercise):
            return ()
        drawn = self._stored(exercise)
        if drawn is None and not self.draw(exercise):
            drawn = self._stored(exercise)
        return drawn or ()

    def _wait_for(self, exercise: Exercise) -> str:
        """Wait while an exercise is being drawn. Returns why it could not be drawn, or nothing."""
        return self._drawing.wait_for(exercise) if self._drawing else ""

    def _stored(self, exercise: Exercise) -> tuple[Engraved, ...] | None:
        stored = self._cache.get(exercise.drawings)
        if stored is not None:
            with suppress(ValidationError):  # damaged: it is drawn again
                return _ENGRAVED.validate_json(stored)
        return None

    def heard(self, exercise: Exercise) -> Heard | None:
        """What can be heard of an exercise; None where nothing can."""
        if not exercise.sound:
            return None
        stored = self._cache.get(exercise.sound)
        if stored is not None:
            notes, _, midi = stored.partition(b"\n")
            return Heard(notes + b"\n", midi)
        score = self._score(exercise)
        if score is None or exercise.facts is None:
            return None
        made = hear(exercise.entry, score, exercise.facts, self._chorus)
        self._cache.made["sounds"] += 1
        self._cache.put(exercise.sound, made.notes + made.midi)
        return made

    def notes(self, exercise: Exercise) -> bytes:
        """The notes.json of an exercise that can be heard. Raises OSError where its score has gone
        in the meantime."""
        return self._surely_heard(exercise).notes

    def midi(self, exercise: Exercise) -> bytes:
        """Its Standard MIDI File. Raises OSError like `notes`."""
        return self._surely_heard(exercise).midi

    def _surely_heard(self, exercise: Exercise) -> Heard:
        heard = self.heard(exercise)
        if heard is None:
            raise OSError(None, "changed while the site was built; build again", exercise.slug)
        return heard

    def runs(self, exercises: Iterable[Exercise]) -> Iterator[tuple[Entry, bytes, Ladder | None]]:
        """What practice tracks are made from: every exercise that can be heard, with its notes.json
        and its ladder."""
        for exercise in exercises:
            if heard := self.heard(exercise):
                yield exercise.entry, heard.notes, exercise.ladder

    def drawable(self, exercise: Exercise) -> Drawable | None:
        """What the drawings of an exercise are made from."""
        score = self._score(exercise)
        if score is None or exercise.facts is None:
            return None
        return _drawable(exercise.entry, score, exercise.facts, self._chorus)

    def _score(self, exercise: Exercise) -> Score | None:
        """The score, read again: what is stored of an exercise holds no notes."""
        entry = exercise.entry
        return read_music(entry.source, entry.front, self._chorus, self._root)[0].score


def _drawable(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> Drawable:
    tonics = tuple(dict.fromkeys(facts.keys))
    return Drawable(entry.slug, entry.front.title, score.written, chorus, tonics)


def _thumbnail(exercise: Exercise) -> str:
    return Cache.key("thumbnail", exercise.drawings)
