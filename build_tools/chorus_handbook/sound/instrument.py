"""The instrument of the player: one tone for every three semitones, as MP3 files.

Other notes are made from the nearest tone by playing it faster or slower, by one and a half
semitones at most (three beyond the ends of the instrument). The instrument with computed tones is a
file beside this module, made by `make_instrument`; that of a chorus's own sound font is made once
and cached.
"""

from __future__ import annotations

import json
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from chorus_handbook.cache import Cache
from chorus_handbook.claims.playback_range import HIGHEST_HEARD, LOWEST_HEARD
from chorus_handbook.dependencies import SOUND
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.mp3 import mp3
from chorus_handbook.sound.tone import RATE, loop_of, tone
from chorus_handbook.sound.tone_measures import onset, tone_power

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

VERSION: int = FACTS["formats"]["instrument"]
#: Semitones from one tone to the next.
STRIDE = 3
#: How many semitones below the lowest and above the highest tone the player can play.
BEYOND: int = FACTS["reach"]["beyond"]
#: The MIDI note numbers of the tones: C2 to Eb6.
SAMPLED = range(LOWEST_HEARD + BEYOND, HIGHEST_HEARD - BEYOND + 1, STRIDE)
#: How strongly tones are compressed (0 to 1), by the highest MIDI note number to which each value
#: applies. It is least from E3 to Eb4 (52 to 63), where chords are sung: there the encoder's noise
#: would beat as if a just third were out of tune. It is small below, where partials lie close
#: together.
_COMPRESSION = {44: 0.3, 51: 0.1, 63: 0.0, 127: 0.7}
#: The strongest compression that the encoder can do is just below 1.
_STRONGEST_COMPRESSION = 0.99
#: Bytes that a pack should not exceed, our choice for phones: it is compressed until it fits.
LARGEST_PACK = 250_000
#: What is added to the compression of all tones, in turn, until the pack fits.
_ADDED_COMPRESSION = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5)
#: The files of the instrument with computed tones, which the package contains.
INDEX_FILE, PACK_FILE = (Path(__file__).with_name(f"instrument.{kind}") for kind in ("json", "bin"))


class Tones(Hashable, Protocol):
    """A source of tones for the instrument and for practice tracks. `name` identifies everything
    that the tones depend on; results are cached by it."""

    @property
    def name(self) -> str: ...

    def tone(self, midi: float) -> Samples:
        """The tone of a MIDI note number, fractions included: `tone.RATE` samples a second, from -1
        to 1, silent at both ends, with a loop (`tone.with_loop`)."""


@dataclass(frozen=True)
class ComputedTones:
    """The computed tones, which every chorus without a sound font has."""

    name: str = "computed"

    def tone(self, midi: float) -> Samples:
        return tone(midi)


@dataclass(frozen=True, slots=True)
class Instrument:
    """The tones of an instrument. `pack` has the MP3 files of all tones, end to end. `index` is
    JSON: the pack's SHA-256 in hexadecimal, and for each tone its MIDI note number, its place in
    the pack (first byte and size), the seconds at which its loop begins and ends, its onset in
    seconds, and its power (`tone_measures.tone_power`)."""

    index: bytes
    pack: bytes


def instrument(tones: Tones, cache: Cache) -> Instrument:
    """The instrument with these tones: the shipped one for computed tones, otherwise built, or
    loaded from the cache. Raises EncodingError and whatever `tones` raise."""
    if isinstance(tones, ComputedTones):
        return Instrument(INDEX_FILE.read_bytes(), PACK_FILE.read_bytes())
    key = Cache.key("instrument", SOUND.version(), tones.name)
    cached = cache.get(key)
    if cached is not None:
        index, _, pack = cached.partition(b"\n")
        return Instrument(index + b"\n", pack)
    made = make_pack(tones)
    cache.put(key, made.index + made.pack)
    return made


def make_pack(tones: Tones) -> Instrument:
    """Encode and measure all tones. Raises like `instrument`."""
    sounds = {midi: tones.tone(midi) for midi in SAMPLED}
    files = _encode(sounds)
    samples: list[dict[str, Any]] = []
    start = 0
    for midi, data in files.items():
        samples.append({"midi": midi, "start": start, "bytes": len(data)})
        loop = loop_of(len(sounds[midi]), RATE, midi)
        if loop:
            samples[-1]["loop"] = [place / RATE for place in loop]
        samples[-1]["onset"] = round(onset(sounds[midi], RATE), 6)
        power = tone_power(sounds[midi], RATE, loop)
        samples[-1]["power"] = [float(f"{one:.3g}") for one in power]  # three digits are enough
        start += len(data)
    pack = b"".join(files.values())
    content = {"version": VERSION, "sha256": sha256(pack).hexdigest(), "samples": samples}
    listed = json.dumps(content, separators=(",", ":"))
    return Instrument(listed.encode() + b"\n", pack)


def _encode(sounds: Mapping[int, Samples]) -> dict[int, bytes]:
    """The tones as MP3 files, compressed no more than it takes to fit into `LARGEST_PACK`."""
    files: dict[int, bytes] = {}
    for added in _ADDED_COMPRESSION:
        files = {
            midi: mp3([sound], RATE, min(_compression(midi) + added, _STRONGEST_COMPRESSION))
            for midi, sound in sounds.items()
        }
        if sum(map(len, files.values())) <= LARGEST_PACK:
            break
    return files


def _compression(midi: int) -> float:
    """How strongly the tone of a MIDI note number is compressed."""
    return next(strength for highest, strength in _COMPRESSION.items() if midi <= highest)
