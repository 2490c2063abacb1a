"""Scores from notation, put in time, and the demo's."""

from __future__ import annotations

import io
import math
import struct
from collections.abc import Callable, Sequence

import numpy as np
import pytest
import soundfile

from checked import Checked
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music import reader_of
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place
from chorus_handbook.sound.timed import TimedPass, in_time


@pytest.fixture(scope="session")
def store(tmp_path_factory: pytest.TempPathFactory) -> Cache:
    """A store, so that the instrument is made once."""
    return Cache(tmp_path_factory.mktemp("store"))


@pytest.fixture(scope="session")
def chorus(demo: Checked) -> Chorus:
    """The demo's voices: tenor and bass lie an octave below soprano and alto."""
    assert demo.config.chorus
    return demo.config.chorus


@pytest.fixture(scope="session")
def read(chorus: Chorus) -> Callable[..., Score]:
    """A score from lines of notation, `degrees` unless another kind is named."""

    def score(text: str, kind: str = "degrees") -> Score:
        notation = Notation(kind, text, Place("test.md"))  # type: ignore[arg-type]
        found, problems = reader_of(kind)(notation, chorus, tuple(chorus.voices))
        assert found and not problems, problems
        return found

    return score


@pytest.fixture(scope="session")
def timed(read: Callable[..., Score], chorus: Chorus) -> Callable[..., TimedPass]:
    """Lines of notation, put in time."""
    return lambda text, kind="degrees": in_time(read(text, kind), chorus)


def _chunk(name: bytes, data: bytes) -> bytes:
    return name + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)


def _font(
    hertz: float = 440.0,
    root: int = 69,
    presets: Sequence[tuple[int, int, str]] = ((0, 0, "Pipe"),),
    keys: tuple[int, int] = (0, 127),
    peak: float = 0.5,
    layers: int = 1,
    silence: float = 0.0,
    compressed: bool = False,
) -> bytes:
    """A sound font with one looped tone of two partials, by the SoundFont Technical Specification
    2.04: `root` is the key at which it sounds as it was taken, `layers` how often it sounds at
    once, `silence` seconds before it. `compressed`: its sound is Ogg Vorbis, as in a .sf3, where
    the header's places are bytes of the file and the loop is counted from the sample's start."""
    rate, periods = 44_100, 400
    length = round(periods * rate / hertz)
    exact = periods * rate / length  # so that the loop closes: the pitch that is really there
    wave = [
        peak * (0.7 * math.sin(turn) + 0.3 * math.sin(2 * turn))
        for turn in (2 * math.pi * exact * n / rate for n in range(length))
    ]
    before = round(silence * rate)
    samples = b"\0\0" * before
    samples += struct.pack(f"<{2 * length}h", *(round(32_767 * x) for x in (*wave, *wave)))
    if compressed:
        packed = io.BytesIO()
        whole = np.frombuffer(samples, dtype="<i2")
        soundfile.write(packed, whole, rate, format="OGG", subtype="VORBIS")
        samples = packed.getvalue()
    else:
        samples += b"\0\0" * 46  # section 6.1: 46 zeros behind every sample

    def name(text: str) -> bytes:
        return text.encode().ljust(20, b"\0")

    info = _chunk(b"ifil", struct.pack("<HH", 3 if compressed else 2, 4)) + _chunk(
        b"isng", b"EMU8000\0"
    )
    info += _chunk(b"INAM", b"Testing\0")
    heads = b"".join(
        name(label) + struct.pack("<HHHIII", program, bank, place, 0, 0, 0)
        for place, (bank, program, label) in enumerate(presets)
    )
    heads += name("EOP") + struct.pack("<HHHIII", 0, 0, len(presets), 0, 0, 0)
    bags = b"".join(struct.pack("<HH", place, 0) for place in range(len(presets) + 1))
    # Generators (section 8.1.2): 41 instrument, 43 key range, 53 sample, 54 looped.
    preset_generators = struct.pack("<HH", 41, 0) * len(presets) + struct.pack("<HH", 0, 0)
    instrument = struct.pack("<HBB", 43, *keys) + struct.pack("<HHHH", 54, 1, 53, 0)
    end = before + 2 * length
    places = (0, len(samples) if compressed else end, before + length, end)
    shape = struct.pack("<IIIIIBbHH", *places, rate, root, 0, 0, 0x11 if compressed else 1)
    ending = struct.pack("<IIIIIBbHH", 0, 0, 0, 0, 0, 0, 0, 0, 0)
    data = _chunk(b"phdr", heads) + _chunk(b"pbag", bags) + _chunk(b"pmod", b"\0" * 10)
    data += _chunk(b"pgen", preset_generators)
    data += _chunk(
        b"inst", name("One") + struct.pack("<H", 0) + name("EOI") + struct.pack("<H", layers)
    )
    zones = b"".join(struct.pack("<HH", 3 * place, 0) for place in range(layers + 1))
    data += _chunk(b"ibag", zones) + _chunk(b"imod", b"\0" * 10)
    data += _chunk(b"igen", layers * instrument + b"\0" * 4)
    data += _chunk(b"shdr", name("Tone") + shape + name("EOS") + ending)
    lists = (b"INFO", info), (b"sdta", _chunk(b"smpl", samples)), (b"pdta", data)
    return _chunk(b"RIFF", b"sfbk" + b"".join(_chunk(b"LIST", kind + it) for kind, it in lists))


@pytest.fixture(scope="session")
def font() -> Callable[..., bytes]:
    """Makes sound fonts."""
    return _font
