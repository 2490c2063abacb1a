"""The instrument that the player in the page plays on: a tone every three semitones, as MP3.

Tones in between are played faster or slower, by a semitone and a half at most within the
instrument and by three beyond its ends. The pack is made once and kept; a warm build imports
neither numpy nor soundfile.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from importlib import metadata
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.claims.hearing import HIGHEST_HEARD, LOWEST_HEARD
from chorus_handbook.sound.encoding import encoder_version, mp3
from chorus_handbook.sound.tone import RATE, tone

VERSION = 1
STRIDE = 3
#: How far beyond the lowest and highest tone the player goes.
BEYOND = 3
#: The tones there are: C2 to Eb6.
SAMPLED = range(LOWEST_HEARD + BEYOND, HIGHEST_HEARD - BEYOND + 1, STRIDE)
#: How strongly tones are compressed: those up to C3, whose partials lie close, less.
_CLOSE, _FINE, _COARSE = 48, 0.5, 0.85


@dataclass(frozen=True, slots=True)
class Instrument:
    """`pack` is MP3 files end to end; `index` says as JSON which MIDI note lies where in it."""

    index: bytes
    pack: bytes


def instrument(cache: Cache) -> Instrument:
    """The instrument, made or as it was kept. Raises EncodingError."""
    key = Cache.key(
        "instrument", _code(), str(list(SAMPLED)), encoder_version(), metadata.version("numpy")
    )
    kept = cache.get(key)
    if kept is not None:
        index, _, pack = kept.partition(b"\n")
        return Instrument(index + b"\n", pack)
    files = {m: mp3(tone(m), RATE, _FINE if m <= _CLOSE else _COARSE) for m in SAMPLED}
    samples, start = [], 0
    for midi, data in files.items():
        samples.append({"midi": midi, "start": start, "bytes": len(data)})
        start += len(data)
    listed = json.dumps({"version": VERSION, "samples": samples}, separators=(",", ":"))
    made = Instrument(listed.encode() + b"\n", b"".join(files.values()))
    cache.put(key, made.index + made.pack)
    return made


def _code() -> str:
    """Names the code that makes the tones: when it changes, they are made anew."""
    folder = Path(__file__).parent
    names = ("tone.py", "encoding.py", "instrument.py")
    return sha256(b"".join((folder / name).read_bytes() for name in names)).hexdigest()
