"""Loads and makes the large parts of exercises: their drawings and their sound.

A part is many times as large as a record. It is cached by itself, loaded when it is needed and not
kept, so that the records of a large handbook fit into memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engraved import Drawable, Engraved
from chorus_handbook.entries.model import Entry
from chorus_handbook.music import read_score
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.records.drawing_pool import DrawingPool
from chorus_handbook.records.recent_scores import recent_score
from chorus_handbook.records.record import Exercise
from chorus_handbook.sound import Heard, hear
from chorus_handbook.voices import Ladder

#: A reference in a drawing to a symbol, by its id.
_USED = re.compile(r'href="#([^"]+)"')


@dataclass(frozen=True, slots=True)
class Thumbnail:
    """The first bars of an exercise as an svg element, and the symbols that it refers to, keyed by
    id."""

    svg: str
    symbols: Mapping[str, str]


@cache
def _thumbnail_form() -> TypeAdapter[Thumbnail]:
    return TypeAdapter(Thumbnail)


@cache
def _engraved_form() -> TypeAdapter[tuple[Engraved, ...]]:
    return TypeAdapter(tuple[Engraved, ...])


class Parts:
    """Loads the parts of a handbook's exercises from the cache, and makes those that are missing.

    root: the handbook's folder.
    drawing: a pool that is drawing exercises already; their drawings are waited for. None without
        one.
    """

    def __init__(
        self, root: Path, chorus: Chorus, cache: Cache, drawing: DrawingPool | None = None
    ) -> None:
        self._root, self._chorus, self._cache, self._drawing = root, chorus, cache, drawing
        self._thumbnails: dict[str, Thumbnail | None] = {}

    def draw(self, exercise: Exercise) -> str:
        """Draw one exercise in all its keys, and save the drawings. Returns "", or why it could
        not be drawn."""
        drawable = self.drawable(exercise)
        if drawable is None:
            return ""
        from chorus_handbook.engraving.engine import EngravingError
        from chorus_handbook.engraving.exercise import engrave_in_keys

        try:
            drawn = engrave_in_keys(drawable)
        except EngravingError as error:
            return str(error)
        self._cache.made["drawn"] += 1
        self._cache.made["keys"] += len(drawn)
        self._save(exercise, drawn)
        return ""

    def _save(self, exercise: Exercise, drawn: tuple[Engraved, ...]) -> Thumbnail:
        """Save drawings, and apart from them the thumbnail, which is all that lists need."""
        first = drawn[0]
        used = _USED.findall(first.thumbnail)
        small = Thumbnail(first.thumbnail, {n: first.symbols[n] for n in sorted({*used})})
        self._cache.put(exercise.drawings, _engraved_form().dump_json(drawn))
        self._cache.put(_thumbnail_key(exercise), _thumbnail_form().dump_json(small))
        return small

    def thumbnail(self, exercise: Exercise) -> Thumbnail | None:
        """The thumbnail of an exercise; None if it cannot be drawn. Unlike drawings, thumbnails are
        small and stand on several pages, so they stay in memory."""
        if exercise.slug not in self._thumbnails:
            self._thumbnails[exercise.slug] = self._load_thumbnail(exercise)
        return self._thumbnails[exercise.slug]

    def _load_thumbnail(self, exercise: Exercise) -> Thumbnail | None:
        """The thumbnail from the cache, or from the drawings; None if it cannot be drawn."""
        self._wait_for(exercise)
        cached = self._cache.get(_thumbnail_key(exercise)) if exercise.drawings else None
        if cached is not None:
            with suppress(ValidationError):  # damaged: it is made again
                return _thumbnail_form().validate_json(cached)
        drawn = self.drawings(exercise)
        return self._save(exercise, drawn) if drawn else None

    def opening(self, exercise: Exercise, tonic: str = "") -> Thumbnail | None:
        """The first bars of an exercise in the key of `tonic` ("Eb4"); its thumbnail if `tonic` is
        empty or the first key; None if it cannot be drawn. It is drawn only on request, because few
        keys are ever the first one in a warm-up."""
        first = str(exercise.facts.keys[0]) if exercise.facts else ""
        if tonic in ("", first) or not exercise.drawings:
            return self.thumbnail(exercise)
        name = Cache.key("opening", exercise.drawings, tonic)
        cached = self._cache.get(name)
        if cached is not None:
            with suppress(ValidationError):  # damaged: it is drawn again
                return _thumbnail_form().validate_json(cached)
        drawable = self.drawable(exercise)
        if drawable is None:
            return None
        from chorus_handbook.engraving.engine import EngravingError
        from chorus_handbook.engraving.exercise import engrave_opening

        try:
            small = Thumbnail(*engrave_opening(drawable, Pitch.parse(tonic)))
        except EngravingError:  # reported for the whole drawing
            return None
        self._cache.put(name, _thumbnail_form().dump_json(small))
        return small

    def drawings(self, exercise: Exercise) -> tuple[Engraved, ...]:
        """The drawings of an exercise, one for each key; empty if it cannot be drawn."""
        if not exercise.drawings:
            return ()
        if self._wait_for(exercise):
            return ()
        drawn = self._load(exercise)
        if drawn is None and not self.draw(exercise):
            drawn = self._load(exercise)
        return drawn or ()

    def _wait_for(self, exercise: Exercise) -> str:
        """Wait until an exercise is drawn. Returns "", or why it could not be drawn."""
        return self._drawing.wait_for(exercise) if self._drawing else ""

    def _load(self, exercise: Exercise) -> tuple[Engraved, ...] | None:
        """The drawings of an exercise from the cache; None if they are not there or damaged."""
        cached = self._cache.get(exercise.drawings)
        if cached is not None:
            with suppress(ValidationError):  # damaged: it is drawn again
                return _engraved_form().validate_json(cached)
        return None

    def has_sound(self, exercise: Exercise) -> bool:
        """Whether an exercise has notes that can be played. If its sound is not cached, it is made
        now."""
        return exercise.sound in self._cache or self.heard(exercise) is not None

    def heard(self, exercise: Exercise) -> Heard | None:
        """The sound of an exercise; None if it has no notes that can be played."""
        if not exercise.sound:
            return None
        cached = self._cache.get(exercise.sound)
        if cached is not None:
            notes, _, midi = cached.partition(b"\n")
            return Heard(notes + b"\n", midi)
        score = self._score(exercise)
        if score is None or exercise.facts is None:
            return None
        made = hear(exercise.entry, score, exercise.facts, self._chorus)
        self._cache.made["sounds"] += 1
        self._cache.put(exercise.sound, made.notes + made.midi)
        return made

    def notes(self, exercise: Exercise) -> bytes:
        """The notes.json of an exercise that has sound. Raises OSError if its score was deleted
        after its record was made."""
        return self._heard_or_error(exercise).notes

    def midi(self, exercise: Exercise) -> bytes:
        """The Standard MIDI File of an exercise that has sound. Raises OSError like `notes`."""
        return self._heard_or_error(exercise).midi

    def stored(self, key: str, make: Callable[[], bytes]) -> bytes:
        """The bytes that are cached under this key. If there are none, they are made by `make` and
        cached."""
        found = self._cache.get(key)
        if found is None:
            found = make()
            self._cache.put(key, found)
        return found

    def _heard_or_error(self, exercise: Exercise) -> Heard:
        heard = self.heard(exercise)
        if heard is None:
            raise OSError(None, "changed while the site was built; build again", exercise.slug)
        return heard

    def track_sources(
        self, exercises: Iterable[Exercise]
    ) -> Iterator[tuple[Entry, bytes, Ladder | None]]:
        """What practice tracks are made from: every exercise that has sound, with its notes.json
        and its ladder."""
        for exercise in exercises:
            if heard := self.heard(exercise):
                yield exercise.entry, heard.notes, exercise.ladder

    def drawable(self, exercise: Exercise) -> Drawable | None:
        """What the drawings of an exercise are made from; None if it has no notes to draw."""
        score = self._score(exercise)
        if score is None or exercise.facts is None:
            return None
        return _drawable(exercise.entry, score, exercise.facts, self._chorus)

    def _score(self, exercise: Exercise) -> Score | None:
        """The score, read again unless its record was made just now: records have no notes."""
        if not exercise.drawings:
            return None
        entry = exercise.entry
        return (
            recent_score(exercise)
            or read_score(entry.source, entry.front, self._chorus, self._root)[0].score
        )


def _drawable(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> Drawable:
    """What the engraver needs of an exercise; a key that is sung twice is drawn once."""
    tonics = tuple(dict.fromkeys(facts.keys))
    return Drawable(entry.slug, entry.front.title, score.written, chorus, tonics)


def _thumbnail_key(exercise: Exercise) -> str:
    return Cache.key("thumbnail", exercise.drawings)
