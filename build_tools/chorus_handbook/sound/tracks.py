"""Practice tracks: one voice's run through an exercise as MP3, its own line in front.

A track begins with the first key's chord and the count-in, and ends with the last key before its
voice steps out. mutagen, which writes the tags, stands behind this module.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from hashlib import sha256
from importlib import metadata
from pathlib import Path
from typing import Any

from chorus_handbook.cache import Cache
from chorus_handbook.sound.encoding import encoder_version, mp3
from chorus_handbook.sound.schedule import Settings, run_seconds, schedule
from chorus_handbook.voices import Ladder

#: How loud the other voices are behind one's own.
BEHIND = 0.3
#: Seconds beyond which no track is made: it would take memory without end, and nobody's patience.
LONGEST = 30 * 60
_COMPRESSION = 0.6


class TooLongError(Exception):
    """A run longer than any track; the message says how long, in minutes."""


@dataclass(frozen=True, slots=True)
class Tags:
    """What a player of MP3 files shows. `key` is that of the first pass, `tempo` beats a minute."""

    title: str
    chorus: str
    key: str
    tempo: int
    told: str


def last_key(ladder: Ladder | None, voice: str) -> int | None:
    """The place of the last key of a voice's track; None when it cannot sing even the first. A
    voice without a ladder, such as one that speaks, goes through all keys (-1)."""
    if ladder is None or not ladder.rungs or voice not in ladder.rungs[0].voices:
        return -1
    leaves = ladder.steps_out(voice)
    if leaves is None:
        return len(ladder.rungs) - 1
    return leaves - 1 if leaves else None


def track(
    notes: Mapping[str, Any], voice: str, settings: Settings, chorus: str, cache: Cache
) -> bytes:
    """The track of a voice as an MP3 file with tags; `notes` is the data of notes.json. Raises
    TooLongError, and EncodingError where no encoder is installed."""
    seconds = run_seconds(notes, settings)
    if seconds > LONGEST:
        raise TooLongError(f"the run takes {seconds / 60:.0f} minutes")
    tags = _tags(notes, voice, settings, chorus)
    key = Cache.key("track", _code(), repr(notes), voice, repr(settings), repr(asdict(tags)))
    kept = cache.get(key)
    if kept is not None:
        return kept
    from chorus_handbook.sound.render import render
    from chorus_handbook.sound.tone import RATE

    levels = {one["name"]: 1.0 if one["name"] == voice else BEHIND for one in notes["voices"]}
    samples = render(schedule(notes, settings), seconds, levels)
    made = _tagged(mp3(samples, RATE, _COMPRESSION), tags)
    cache.put(key, made)
    return made


def _tags(notes: Mapping[str, Any], voice: str, settings: Settings, chorus: str) -> Tags:
    label = next(one["label"] for one in notes["voices"] if one["name"] == voice)
    keys = [one["key"] for one in notes["keys"]]
    first, last = keys[settings.first], keys[-1 if settings.last is None else settings.last]
    tempo = round(notes["tempo"] * settings.tempo)
    way = first if first == last else f"{first} to {last}"
    tuning = "just intonation" if settings.just else "equal temperament"
    return Tags(
        title=f"{notes['title']} – {label}",
        chorus=chorus,
        key=first.rstrip("0123456789-"),
        tempo=tempo,
        told=f"{label} in front; keys {way}; {tempo} beats a minute; {tuning}",
    )


def _tagged(file: bytes, tags: Tags) -> bytes:
    """An MP3 file with ID3 tags (version 2.3, which every player reads) before its sound."""
    from mutagen.id3 import COMM, ID3, TBPM, TIT2, TKEY, TPE1

    head = ID3()
    for frame in (
        TIT2(encoding=1, text=tags.title),
        TPE1(encoding=1, text=tags.chorus),
        TKEY(encoding=1, text=tags.key),
        TBPM(encoding=0, text=str(tags.tempo)),
        COMM(encoding=1, lang="eng", desc="", text=tags.told),
    ):
        head.add(frame)
    whole = io.BytesIO(file)
    head.save(whole, v1=0, v2_version=3)
    return whole.getvalue()


def _code() -> str:
    """Names all that makes a track: when it changes, tracks are made anew."""
    folder = Path(__file__).parent
    names = ("tone.py", "encoding.py", "render.py", "schedule.py", "tracks.py")
    digest = sha256(b"".join((folder / name).read_bytes() for name in names))
    for version in (encoder_version(), metadata.version("numpy"), metadata.version("mutagen")):
        digest.update(version.encode())
    return digest.hexdigest()
