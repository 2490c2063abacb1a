"""Drawings kept from build to build: an unchanged exercise is not even laid out again.

One record holds an exercise in all its keys. Its name in the store is made of everything the
drawings depend on: the score, the chorus, the keys, what the exercise is called, the engraver's
version and settings, and the code that lays out and compacts. What failed is not stored, and a
record that cannot be read is as if it were not there.
"""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.engraving.engine import engraver_version
from chorus_handbook.engraving.exercise import Engraved, Exercise
from chorus_handbook.music.score import WrittenBlock
from chorus_handbook.pitch import Pitch


def key(exercise: Exercise) -> str:
    """Names an exercise's record. Where in the text a note stands changes no drawing."""
    return Cache.key(
        "engraved",
        exercise.slug,
        exercise.title,
        repr(replace(exercise.score, blocks=_onsets(exercise))),
        exercise.chorus.model_dump_json(exclude={"sound_font"}),  # heard, not seen
        " ".join(map(str, exercise.tonics)),
        engraver_version(),
        _code(),
    )


def stored(name: str, exercise: Exercise, cache: Cache) -> tuple[Engraved, ...] | None:
    """What was drawn of an exercise, or None."""
    record = cache.get(name)
    if record is None:
        return None
    try:
        found = tuple(_engraved(fields) for fields in json.loads(record))
    except (ValueError, TypeError, KeyError):
        return None
    return found if tuple(one.tonic for one in found) == exercise.tonics else None


def keep(name: str, drawn: tuple[Engraved, ...], cache: Cache) -> None:
    """Store what was drawn of an exercise."""
    record = json.dumps([_plain(one) for one in drawn], ensure_ascii=False)
    cache.put(name, record.encode())


def _plain(drawn: Engraved) -> dict[str, object]:
    return {
        "tonic": asdict(drawn.tonic),
        "wide": drawn.wide,
        "narrow": drawn.narrow,
        "thumbnail": drawn.thumbnail,
        "symbols": dict(drawn.symbols),
    }


def _engraved(fields: dict[str, object]) -> Engraved:
    tonic, symbols = fields["tonic"], fields["symbols"]
    wide, narrow, thumbnail = fields["wide"], fields["narrow"], fields["thumbnail"]
    if not (
        isinstance(tonic, dict)
        and isinstance(symbols, dict)
        and isinstance(wide, str)
        and isinstance(narrow, str | None)
        and isinstance(thumbnail, str)
    ):
        raise TypeError("this is no drawing")
    return Engraved(Pitch(**tonic), wide, narrow, thumbnail, symbols)


def _onsets(exercise: Exercise) -> tuple[WrittenBlock, ...]:
    """Of the written blocks only where they begin is drawn."""
    return tuple(replace(block, lines=()) for block in exercise.score.blocks)


@lru_cache(maxsize=1)
def _code() -> str:
    """Names the code that draws: when it changes, everything is drawn anew."""
    folder = Path(__file__).parent
    package = folder.parent
    files = [*folder.glob("*.py"), *(package / "music").glob("*.py"), package / "pitch.py"]
    return sha256(b"".join(file.read_bytes() for file in sorted(files))).hexdigest()
