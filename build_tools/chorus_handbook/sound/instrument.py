"""The instrument that the player in the page plays on: a tone every three semitones, as MP3.

Tones in between are played faster or slower, by a semitone and a half at most within the
instrument and by three beyond its ends. The handbook's own tones (`tone`) are files beside this
module, made by `make_instrument`; a pack of the chorus's own `sound_font` is made once and
cached.
"""

from __future__ import annotations

import json
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from chorus_handbook.cache import Cache
from chorus_handbook.claims.playback_range import HIGHEST_HEARD, LOWEST_HEARD
from chorus_handbook.dependencies import SOUND
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.encoding import mp3
from chorus_handbook.sound.sustain import loop_of
from chorus_handbook.sound.tone import RATE, tone
from chorus_handbook.sound.tone_power import onset, tone_power

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

VERSION: int = FACTS["formats"]["instrument"]
STRIDE = 3
#: How far beyond the lowest and highest tone the player goes.
BEYOND: int = FACTS["reach"]["beyond"]
#: The tones there are: C2 to Eb6.
SAMPLED = range(LOWEST_HEARD + BEYOND, HIGHEST_HEARD - BEYOND + 1, STRIDE)
#: How strongly tones are compressed, up to which MIDI number: in those from A2 to Eb4, on which
#: chords stand, the encoder's noise would beat as if a just third were out of tune; below them
#: partials lie close.
_COMPRESSION = {44: 0.3, 51: 0.1, 63: 0.0, 127: 0.7}
_STRONGEST = 0.99
#: A pack is larger only where the strongest compression makes no less of it.
LARGEST_PACK = 250_000
#: The handbook's own instrument.
INDEX_FILE, PACK_FILE = (Path(__file__).with_name(f"instrument.{kind}") for kind in ("json", "bin"))
_STRONGER = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5)


class Tones(Hashable, Protocol):
    """What an instrument and practice tracks are made of. `name` says all that tones depend on."""

    @property
    def name(self) -> str: ...

    def tone(self, midi: float) -> Samples:
        """The tone of a MIDI note, or of a pitch between two: `RATE` samples a second from -1 to
        1, silent at both ends, made ready by `sustain`."""


@dataclass(frozen=True)
class Computed:
    """The handbook's own tones."""

    name: str = "computed"

    def tone(self, midi: float) -> Samples:
        return tone(midi)


@dataclass(frozen=True, slots=True)
class Instrument:
    """`pack` is MP3 files end to end; `index` says as JSON which MIDI note lies where in it,
    between which seconds of a tone it can be held (`sustain`), where its onset lies and its power
    (`tone_power`)."""

    index: bytes
    pack: bytes


def instrument(tones: Tones, cache: Cache) -> Instrument:
    """The instrument: the one that is shipped, or that of a sound font, made or from the cache.
    Raises EncodingError, and what `tones` raise."""
    if isinstance(tones, Computed):
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
    """All tones encoded and measured. Raises as `instrument` does."""
    sounds = {midi: tones.tone(midi) for midi in SAMPLED}
    files = _encoded(sounds)
    samples: list[dict[str, Any]] = []
    start = 0
    for midi, data in files.items():
        samples.append({"midi": midi, "start": start, "bytes": len(data)})
        loop = loop_of(len(sounds[midi]), RATE, midi)
        if loop:
            samples[-1]["loop"] = [place / RATE for place in loop]
        samples[-1]["onset"] = round(onset(sounds[midi], RATE), 6)
        power = tone_power(sounds[midi], RATE, loop)
        samples[-1]["power"] = [float(f"{one:.3g}") for one in power]
        start += len(data)
    listed = json.dumps({"version": VERSION, "samples": samples}, separators=(",", ":"))
    return Instrument(listed.encode() + b"\n", b"".join(files.values()))


def _encoded(sounds: Mapping[int, Samples]) -> dict[int, bytes]:
    """The tones as MP3, no more strongly compressed than the size of the pack asks for."""
    files: dict[int, bytes] = {}
    for stronger in _STRONGER:
        files = {
            midi: mp3(sound, RATE, min(_compression(midi) + stronger, _STRONGEST))
            for midi, sound in sounds.items()
        }
        if sum(map(len, files.values())) <= LARGEST_PACK:
            break
    return files


def _compression(midi: int) -> float:
    return next(strength for highest, strength in _COMPRESSION.items() if midi <= highest)
