"""Tracks made over the processors: each has a process of its own, started afresh. And all those
that a site offers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.answers import answered
from chorus_handbook.entries.model import Entry
from chorus_handbook.problems import Place, Problem
from chorus_handbook.process_pool import ProcessPool, processes
from chorus_handbook.sound import Sound
from chorus_handbook.sound.instrument import Tones
from chorus_handbook.sound.schedule import Settings
from chorus_handbook.sound.sound_font import SoundFontError
from chorus_handbook.sound.tracks import Track, make, stored, tracks_of
from chorus_handbook.source.text import shown_path
from chorus_handbook.voices import Ladder

#: The tracks of every exercise, by slug and voice: what loads the MP3 file, which is large.
Tracks = Mapping[str, Mapping[str, Callable[[], bytes]]]

#: Fewer tracks than this are made sooner than another process has started.
_WORTH_SHARING = 4


def site_tracks(
    runs: Iterable[tuple[Entry, bytes, Ladder | None]],
    sound: Sound,
    chorus: Chorus,
    cache: Cache,
    root: Path,
) -> tuple[Tracks, list[Problem]]:
    """Every track that can be made, at the exercises' own tempo, and notice `track-missing` for
    each that cannot. `runs` are the exercises: as written, notes.json, ladder; `root` is the
    handbook's folder."""
    requested: list[Track] = []
    problems: list[Problem] = []
    for entry, notes, ladder in runs:
        found, missing = tracks_of(
            entry.slug, notes, ladder, Settings(), chorus.name, sound.instrument.index
        )
        requested += found.values()
        problems += _left_out(entry, missing)
    made: dict[str, dict[str, Callable[[], bytes]]] = {}
    try:
        for track, file in make_all(requested, sound.tones, cache):
            if (name := track.name(sound.tones)) not in cache:  # it cannot be written to
                cache.put(name, file)
            load = partial(_load, track, sound.tones, cache)
            made.setdefault(track.slug, {})[track.voice] = load
    except SoundFontError as error:  # it has the player's tones, but not one in between
        place = Place(shown_path(root / "chorus.yml", root))
        return {}, [Problem(place, "sound-font", error.message, error.hint)]
    return made, problems


def _load(track: Track, tones: Tones, cache: Cache) -> bytes:
    return stored(track, tones, cache) or make(track, tones, cache)


def _left_out(entry: Entry, missing: Mapping[str, str]) -> list[Problem]:
    """The voices whose tracks the site lacks, and why, unless the author has answered it."""
    found = [
        Problem(
            entry.source.place_of("keys"),
            "track-missing",
            f"The site has no practice track for {voice}: {why}.",
            "Change keys or passes, or answer it: track-missing and your reason under answers.",
        )
        for voice, why in missing.items()
    ]
    done = answered(entry, found)
    return [problem for problem in found if problem not in done]


def make_all(tracks: Sequence[Track], tones: Tones, cache: Cache) -> Iterator[tuple[Track, bytes]]:
    """Every track with its MP3 file, in order, as it was kept or as soon as it is made. Raises
    what `tracks.make` raises."""
    missing = [track for track in tracks if stored(track, tones, cache) is None]
    cache.made["tracks"] += len(missing)
    count = min(processes(), len(missing) // _WORTH_SHARING + 1)
    if count < 2:
        for track in tracks:
            yield track, stored(track, tones, cache) or make(track, tones, cache)
        return
    with ProcessPool(count) as pool:
        asked = {track: pool.submit(make, track, tones, cache) for track in missing}
        for track in tracks:
            try:
                made = asked[track].result() if track in asked else stored(track, tones, cache)
            except (BrokenProcessPool, OSError):  # no room for more processes: one will do
                made = None
            yield track, made or make(track, tones, cache)
