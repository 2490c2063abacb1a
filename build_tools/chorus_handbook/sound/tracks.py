"""Makes practice tracks: an exercise as an MP3 file for one voice, with its line louder than the
others.

A track begins with the chord of the first key and the count-in, and ends with the last key that its
voice can sing. Many tracks are made at once, on all processors.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from chorus_handbook import catalogue
from chorus_handbook.cache import Cache
from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.answers import answered
from chorus_handbook.claims.run_length import LONGEST_RUN
from chorus_handbook.dependencies import SOUND
from chorus_handbook.entries.model import Entry
from chorus_handbook.music.score import LEADER
from chorus_handbook.problems import Place, Problem
from chorus_handbook.process_pool import ProcessPool, processes
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound import LoadFile, Sound, Tracks
from chorus_handbook.sound.instrument import Tones
from chorus_handbook.sound.loudness import Powers, factor_to_target, powers_of
from chorus_handbook.sound.mp3 import COMMENT, mp3, tagged
from chorus_handbook.sound.schedule import PlaybackOptions, run_seconds, schedule
from chorus_handbook.sound.sound_font import SoundFontError
from chorus_handbook.source.text import shown_path
from chorus_handbook.voices import Ladder

if TYPE_CHECKING:
    from chorus_handbook.sound.render import Gains

#: The level of all voices but the one that a track is for, whose level is 1.
BEHIND: float = FACTS["behind"]
#: How much tracks are compressed (`mp3`).
COMPRESSION = 0.6
#: Another process is only started for every four tracks, because starting one takes time.
_WORTH_SHARING = 4
_R = TypeVar("_R", bound="Recording")


class Recording(Protocol):
    """The input of one MP3 file: a voice's `Track`, or a routine's (`routine_track`)."""

    def cache_key(self, tones: Tones) -> str:
        """The key of its MP3 file in the cache."""

    def encode(self, tones: Tones) -> bytes:
        """Its MP3 file with tags. Raises EncodingError where no encoder is installed, and what
        `tones` raise."""


@dataclass(frozen=True, slots=True)
class Track:
    """The input from which one track is made: the slug of the exercise, the voice in front, the
    exercise's notes.json, how it is played, the name of the chorus, and the instrument's `index`
    with the loudness of its tones."""

    slug: str
    voice: str
    notes: bytes
    options: PlaybackOptions
    chorus: str
    index: bytes

    @property
    def file(self) -> str:
        """The name of its file, which says if it is slower, faster or in just intonation."""
        return f"{self.slug}-{self.voice}{self.options.suffix}.mp3"

    def cache_key(self, tones: Tones) -> str:
        """The key of its MP3 file in the cache."""
        what = self.voice, self.notes, repr(self.options), self.chorus, self.index
        return Cache.key("track", SOUND.version(), catalogue.version(), tones.name, *what)

    def encode(self, tones: Tones) -> bytes:
        """Its MP3 file with tags. Raises EncodingError where no encoder is installed, and what
        `tones` raise."""
        from chorus_handbook.sound.render import render
        from chorus_handbook.sound.tone import RATE

        notes, options = json.loads(self.notes), self.options
        levels = levels_of(notes, self.voice)
        seconds = run_seconds(notes, options)
        gains = gains_of(notes, options, levels, powers_of(self.index))
        samples = render(schedule(notes, options), seconds, levels, tones, gains)
        tags = _tags(notes, self.voice, options, self.chorus)
        return tagged(mp3([samples], RATE, COMPRESSION), tags)


def tracks_of(
    slug: str,
    notes: bytes,
    ladder: Ladder | None,
    options: PlaybackOptions,
    chorus: str,
    index: bytes,
) -> tuple[dict[str, Track], dict[str, str]]:
    """The tracks of an exercise by voice, each up to the last key that its voice sings, and the
    reasons by voice for those that have none. `notes` is the exercise's notes.json, `options` are
    those of a run through all keys, `chorus` is the name of the chorus, and `index` that of the
    instrument. The opening chord and the count-in do not count towards the longest run allowed."""
    data = json.loads(notes)
    found: dict[str, Track] = {}
    missing: dict[str, str] = {}
    for voice in [v["name"] for v in data["voices"] if v["notes"] and v["name"] != LEADER]:
        last = last_key(ladder, voice)
        if last is None:
            missing[voice] = f"{voice} cannot sing in the first key"
            continue
        own = replace(options, last=None if last < 0 else last, chord_first=True)
        seconds = run_seconds(data, replace(own, chord_first=False, count_in=False))
        if seconds > LONGEST_RUN:
            missing[voice] = (
                f"all keys together take {voice} {seconds / 60:.0f} minutes, but a track lasts "
                f"{LONGEST_RUN / 60:.0f} minutes at most"
            )
            continue
        found[voice] = Track(slug, voice, notes, own, chorus, index)
    return found, missing


def last_key(ladder: Ladder | None, voice: str) -> int | None:
    """The index of the last key of a voice's track; None if the voice cannot sing even the first.
    It is -1, which stands for all keys, for a voice that is not in the ladder (the table of what
    each voice sings in each key), such as one that only speaks."""
    if ladder is None or not ladder.rungs or voice not in ladder.rungs[0].voices:
        return -1
    leaves = ladder.steps_out(voice)
    if leaves is None:
        return len(ladder.rungs) - 1
    return leaves - 1 if leaves else None


def load(track: Recording, tones: Tones, cache: Cache) -> bytes | None:
    """The MP3 file of a track that was made before, or None."""
    return cache.get(track.cache_key(tones))


def make(track: Recording, tones: Tones, cache: Cache) -> bytes:
    """Make a track and save it. Raises what `encode` raises."""
    made = track.encode(tones)
    cache.put(track.cache_key(tones), made)
    return made


def load_or_make(track: Recording, tones: Tones, cache: Cache) -> bytes:
    """The MP3 file of a track. Raises what `make` raises."""
    return load(track, tones, cache) or make(track, tones, cache)


def levels_of(notes: Mapping[str, Any], voice: str) -> dict[str, float]:
    """The levels of the voices in the mix, keyed by the name of the voice: 1 for `voice`, which is
    in front, and BEHIND for all others."""
    return {one["name"]: 1.0 if one["name"] == voice else BEHIND for one in notes["voices"]}


def gains_of(
    notes: Mapping[str, Any], options: PlaybackOptions, levels: Mapping[str, float], powers: Powers
) -> Gains:
    """The factors that bring a run to the loudness of all tracks. They are computed from one pass
    in the middle of the run and the chord of its key."""
    from chorus_handbook.sound.render import Gains

    last = len(notes["keys"]) - 1 if options.last is None else options.last
    middle = (options.first + last) // 2
    one = replace(options, first=middle, last=middle, passes=1, count_in=False, chord_first=True)
    events = schedule(notes, one)
    return Gains(
        singing=factor_to_target([e for e in events if e.voice is not None], levels, powers),
        chords=factor_to_target(
            [e for e in events if e.voice is None and e.midi is not None], {}, powers
        ),
    )


def _tags(
    notes: Mapping[str, Any], voice: str, options: PlaybackOptions, chorus: str
) -> dict[str, str]:
    """The texts of a track's tags by frame (`mp3`): an exercise is an album, its voices are the
    tracks in the order of the score. The key is that of the first pass."""
    sung = [one for one in notes["voices"] if one["notes"] and one["name"] != LEADER]
    place, label = next((n, v["label"]) for n, v in enumerate(sung, 1) if v["name"] == voice)
    keys = [one["key"] for one in notes["keys"]]
    first, last = keys[options.first], keys[-1 if options.last is None else options.last]
    tempo = round(notes["tempo"] * options.tempo)
    # Translators: the keys C4 to G4
    keys_text = first if first == last else _("{first} to {last}", first=first, last=last)
    tuning = _("just intonation") if options.just else _("equal temperament")
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
            keys=keys_text,
            tuning=tuning,
        ),
    }


def site_tracks(
    runs: Iterable[tuple[Entry, bytes, Ladder | None]],
    routines: Mapping[str, Recording],
    sound: Sound,
    chorus: Chorus,
    cache: Cache,
    root: Path,
) -> tuple[Tracks, list[Problem]]:
    """Every track that can be made, at the exercises' own tempo, and a notice `track-missing` for
    each that cannot. `runs` are the exercises with their notes.json and their ladder, `routines`
    the tracks of routines, keyed by slug; `root` is the handbook's folder."""
    requested: list[Track] = []
    problems: list[Problem] = []
    for entry, notes, ladder in runs:
        found, missing = tracks_of(
            entry.slug, notes, ladder, PlaybackOptions(), chorus.name, sound.instrument.index
        )
        requested += found.values()
        problems += _missing_notices(entry, missing)
    voices: dict[str, dict[str, LoadFile]] = {}
    try:
        for track, file in make_all([*requested, *routines.values()], sound.tones, cache):
            key = track.cache_key(sound.tones)
            if key not in cache:  # the other process could not write it
                cache.put(key, file)
    except SoundFontError as error:  # it has the tones of the player, but lacks one in between
        place = Place(shown_path(root / "chorus.yml", root))
        return Tracks(), [Problem(place, "sound-font", error.message, error.hint)]
    for one in requested:
        voices.setdefault(one.slug, {})[one.voice] = partial(load_or_make, one, sound.tones, cache)
    return Tracks(
        voices,
        {slug: partial(load_or_make, one, sound.tones, cache) for slug, one in routines.items()},
    ), problems


def _missing_notices(entry: Entry, missing: Mapping[str, str]) -> list[Problem]:
    """A notice for each voice that has no track, unless the exercise's file answers it with a
    reason."""
    found = [
        Problem(
            entry.source.place_of("keys"),
            "track-missing",
            f"The site has no practice track for {voice}: {why}.",
            'Change the field "keys" or "passes". If it is meant, add '
            '"track-missing: your reason", indented, below "answers:".',
        )
        for voice, why in missing.items()
    ]
    silenced = answered(entry, found)
    return [problem for problem in found if problem not in silenced]


def make_all(tracks: Sequence[_R], tones: Tones, cache: Cache) -> Iterator[tuple[_R, bytes]]:
    """Every track with its MP3 file, in order, from the cache or as soon as it is made. Raises what
    `make` raises."""
    missing = [track for track in tracks if load(track, tones, cache) is None]
    cache.made["tracks"] += len(missing)
    count = min(processes(), len(missing) // _WORTH_SHARING + 1)
    if count < 2:
        for track in tracks:
            yield track, load_or_make(track, tones, cache)
        return
    with ProcessPool(count) as pool:
        pending = {track: pool.submit(make, track, tones, cache) for track in missing}
        for track in tracks:
            try:
                made = pending[track].result() if track in pending else load(track, tones, cache)
            except (BrokenProcessPool, OSError):  # no room for more processes: one will do
                made = None
            yield track, made or make(track, tones, cache)
