"""Practice tracks: one voice's run through an exercise as MP3, its own line in front.

A track begins with the first key's chord and the count-in, and ends with the last key before its
voice steps out. `track_pool` makes many at a time.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from chorus_handbook import catalogue
from chorus_handbook.cache import Cache
from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.claims.run_length import LONGEST_RUN
from chorus_handbook.dependencies import SOUND
from chorus_handbook.music.score import LEADER
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.encoding import mp3
from chorus_handbook.sound.id3 import COMMENT, tagged
from chorus_handbook.sound.instrument import Tones
from chorus_handbook.sound.loudness import Powers, brought, powers_of
from chorus_handbook.sound.schedule import Settings, run_seconds, schedule
from chorus_handbook.voices import Ladder

if TYPE_CHECKING:
    from chorus_handbook.sound.render import Gains

#: How loud the other voices are behind one's own.
BEHIND: float = FACTS["behind"]
_COMPRESSION = 0.6


@dataclass(frozen=True, slots=True)
class Track:
    """A track that can be made: `notes` is the exercise's notes.json, `chorus` the chorus's
    name, `index` the instrument's, which says how loud its tones are."""

    slug: str
    voice: str
    notes: bytes
    settings: Settings
    chorus: str
    index: bytes

    @property
    def file(self) -> str:
        """The name of its file. One that is slower, faster or in just intonation has its own."""
        percent = round(100 * self.settings.tempo)
        tempo = "" if percent == 100 else f"-{percent}-percent"
        return f"{self.slug}-{self.voice}{tempo}{'-just' if self.settings.just else ''}.mp3"

    def name(self, tones: Tones) -> str:
        """Names its record in the store."""
        what = self.voice, self.notes, repr(self.settings), self.chorus, self.index
        return Cache.key("track", SOUND.version(), catalogue.version(), tones.name, *what)


def tracks_of(
    slug: str,
    notes: bytes,
    ladder: Ladder | None,
    settings: Settings,
    chorus: str,
    index: bytes,
) -> tuple[dict[str, Track], dict[str, str]]:
    """The tracks of an exercise by voice, each as far as its voice sings; and, for voices that
    have none, why. `settings` holds for the run as a whole; the chord and the count before it do
    not add to its length."""
    data = json.loads(notes)
    found: dict[str, Track] = {}
    missing: dict[str, str] = {}
    for voice in [v["name"] for v in data["voices"] if v["notes"] and v["name"] != LEADER]:
        last = last_key(ladder, voice)
        if last is None:
            missing[voice] = f"{voice} cannot sing its first key"
            continue
        own = replace(settings, last=None if last < 0 else last, chord_first=True)
        seconds = run_seconds(data, replace(own, chord_first=False, count_in=False))
        if seconds > LONGEST_RUN:
            missing[voice] = (
                f"the run of {voice} takes {seconds / 60:.0f} minutes, and a track lasts "
                f"{LONGEST_RUN / 60:.0f} at most"
            )
            continue
        found[voice] = Track(slug, voice, notes, own, chorus, index)
    return found, missing


def last_key(ladder: Ladder | None, voice: str) -> int | None:
    """The place of the last key of a voice's track; None when it cannot sing even the first. A
    voice without a ladder, such as one that speaks, goes through all keys (-1)."""
    if ladder is None or not ladder.rungs or voice not in ladder.rungs[0].voices:
        return -1
    leaves = ladder.steps_out(voice)
    if leaves is None:
        return len(ladder.rungs) - 1
    return leaves - 1 if leaves else None


def stored(track: Track, tones: Tones, cache: Cache) -> bytes | None:
    """A track that was made before, or None."""
    return cache.get(track.name(tones))


def make(track: Track, tones: Tones, cache: Cache) -> bytes:
    """A track as an MP3 file with tags. Raises EncodingError where no encoder is installed, and
    what `tones` raise."""
    from chorus_handbook.sound.render import render
    from chorus_handbook.sound.tone import RATE

    notes, voice, settings = json.loads(track.notes), track.voice, track.settings
    levels = {one["name"]: 1.0 if one["name"] == voice else BEHIND for one in notes["voices"]}
    seconds = run_seconds(notes, settings)
    gains = gains_of(notes, settings, levels, powers_of(track.index))
    samples = render(schedule(notes, settings), seconds, levels, tones, gains)
    tags = _tags(notes, voice, settings, track.chorus)
    made = tagged(mp3(samples, RATE, _COMPRESSION), tags)
    cache.put(track.name(tones), made)
    return made


def gains_of(
    notes: Mapping[str, Any], settings: Settings, levels: Mapping[str, float], powers: Powers
) -> Gains:
    """What brings one pass in the middle of the run, and that key's chord, to the loudness that all
    tracks have."""
    from chorus_handbook.sound.render import Gains

    last = len(notes["keys"]) - 1 if settings.last is None else settings.last
    middle = (settings.first + last) // 2
    one = replace(settings, first=middle, last=middle, passes=1, count_in=False, chord_first=True)
    events = schedule(notes, one)
    return Gains(
        singing=brought([e for e in events if e.voice is not None], levels, powers),
        chords=brought([e for e in events if e.voice is None and e.midi is not None], {}, powers),
    )


def _tags(notes: Mapping[str, Any], voice: str, settings: Settings, chorus: str) -> dict[str, str]:
    """What a player of MP3 files shows, by frame (`id3`): an exercise is an album, and the voices
    are its tracks in the order of the score. The key is that of the first pass."""
    sung = [one for one in notes["voices"] if one["notes"] and one["name"] != LEADER]
    place, label = next((n, v["label"]) for n, v in enumerate(sung, 1) if v["name"] == voice)
    keys = [one["key"] for one in notes["keys"]]
    first, last = keys[settings.first], keys[-1 if settings.last is None else settings.last]
    tempo = round(notes["tempo"] * settings.tempo)
    # Translators: the keys C4 to G4
    way = first if first == last else _("{first} to {last}", first=first, last=last)
    tuning = _("just intonation") if settings.just else _("equal temperament")
    return {
        "TIT2": f"{notes['title']} – {label}",
        "TPE1": chorus,
        "TALB": " · ".join(filter(None, (notes["title"], notes.get("plain")))),
        "TRCK": f"{place}/{len(sung)}",
        "TKEY": first.rstrip("0123456789-"),
        "TBPM": f"{tempo}",
        COMMENT: ngettext(
            "{voice} in front; keys {keys}; {n} beat a minute; {tuning}",
            "{voice} in front; keys {keys}; {n} beats a minute; {tuning}",
            tempo,
            voice=label,
            keys=way,
            tuning=tuning,
        ),
    }
