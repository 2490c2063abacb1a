"""The instrument, as a decoder that is not the encoder's kin hears it (miniaudio's dr_mp3)."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import miniaudio
import numpy as np
import pytest
from mutagen.mp3 import MP3

from checked import Checked
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import SoundFont
from chorus_handbook.claims.playback_range import HIGHEST_HEARD, LOWEST_HEARD
from chorus_handbook.sound import make_sound
from chorus_handbook.sound.instrument import (
    BEYOND,
    SAMPLED,
    STRIDE,
    ComputedTones,
    Instrument,
    instrument,
    make_pack,
)
from chorus_handbook.sound.tone import RATE, tone
from chorus_handbook.sound.tone_measures import onset

MOST_BYTES = 250_000


@pytest.fixture(scope="module")
def made(store: Cache) -> Instrument:
    return instrument(ComputedTones(), store)


def listed(made: Instrument) -> list[dict[str, Any]]:
    index = json.loads(made.index)
    assert index["version"] == 1
    samples: list[dict[str, Any]] = index["samples"]
    return samples


def file_of(made: Instrument, midi: int) -> bytes:
    entry = next(sample for sample in listed(made) if sample["midi"] == midi)
    return made.pack[entry["start"] : entry["start"] + entry["bytes"]]


def decoded(made: Instrument, midi: int) -> np.ndarray[Any, np.dtype[np.float64]]:
    heard = miniaudio.decode(
        file_of(made, midi), miniaudio.SampleFormat.FLOAT32, nchannels=1, sample_rate=RATE
    )
    return np.asarray(heard.samples, dtype=np.float64)


def frequency(sound: np.ndarray[Any, np.dtype[np.float64]], near: float) -> float:
    """The frequency of the partial near the given one: how fast its phase turns between two
    stretches of half a second, a second apart."""
    length = RATE // 2
    time = np.arange(length) / RATE
    window = np.hanning(length)

    def phase(start: int) -> float:
        probe = np.exp(-2j * np.pi * near * (time + start / RATE))
        return float(np.angle(np.sum(sound[start : start + length] * window * probe)))

    found = near
    for apart in (RATE // 16, RATE // 4, RATE):  # ever finer, so that no turn is lost
        turned = (phase(2_000 + apart) - phase(2_000)) / (2 * np.pi)
        turned -= (found - near) * apart / RATE
        found += (turned - round(turned)) * RATE / apart
    return found


def cents(frequency: float, against: float) -> float:
    return 1200 * math.log2(frequency / against)


def test_the_pack_is_small(made: Instrument) -> None:
    assert len(made.pack) + len(made.index) <= MOST_BYTES


def test_files_lie_end_to_end(made: Instrument) -> None:
    end = 0
    for sample in listed(made):
        assert sample["start"] == end
        end += sample["bytes"]
    assert end == len(made.pack)


def test_there_is_a_tone_every_three_semitones_over_the_reach(made: Instrument) -> None:
    notes = [sample["midi"] for sample in listed(made)]
    assert notes == list(range(notes[0], notes[-1] + 1, 3))
    assert (notes[0] - BEYOND, notes[-1] + BEYOND) == (LOWEST_HEARD, HIGHEST_HEARD)
    assert STRIDE == 3


@pytest.mark.parametrize("midi", SAMPLED)
def test_every_tone_is_in_tune(made: Instrument, midi: int) -> None:
    """Equal temperament, A4 = 440 Hz (ISO 16:1975); also its octave partial, so that chords do not
    beat."""
    sound, exact = decoded(made, midi), 440 * 2 ** ((midi - 69) / 12)
    assert abs(cents(frequency(sound, exact), exact)) < 0.5
    assert abs(cents(frequency(sound, 2 * exact), 2 * exact)) < 0.5


def test_the_measure_of_pitch_sees_half_a_cent() -> None:
    time = np.arange(2 * RATE) / RATE
    for off in (-3.0, -0.5, 0.5, 12.0):
        played = np.sin(2 * np.pi * 220 * 2 ** (off / 1200) * time)
        assert cents(frequency(played, 220), 220) == pytest.approx(off, abs=0.02)


@pytest.mark.parametrize("midi", SAMPLED)
def test_no_tone_clicks(made: Instrument, midi: int) -> None:
    sound = decoded(made, midi)
    peak = np.abs(sound).max()
    assert 0.15 < peak < 0.95
    assert np.abs(sound[:8]).max() < 0.04 * peak  # what the encoder smears ahead
    assert np.abs(sound[-80:]).max() < 0.005
    # It rises within a few milliseconds: late enough not to click, soon enough to be on time.
    first = np.argmax(np.abs(sound) > 0.25 * peak) / RATE
    assert 0.001 < first < 0.02


def level(sound: np.ndarray[Any, np.dtype[np.float64]], second: float) -> float:
    """Decibels over a fifth of a second."""
    piece = sound[int(second * RATE) :][: RATE // 5]
    return 10 * math.log10(np.mean(piece**2))


@pytest.mark.parametrize("midi", SAMPLED)
def test_a_tone_is_held_for_as_long_as_is_wished(made: Instrument, midi: int) -> None:
    """As a browser plays it again and again between the seconds that the index names: it dies away
    as a piano does, and then stays, in tune, without a step or a wave in its level."""
    sound, exact = decoded(made, midi), 440 * 2 ** ((midi - 69) / 12)
    start, end = (round(second * RATE) for second in loop(made, midi))
    assert end < len(sound)
    long = np.concatenate((sound[:end], *[sound[start:end]] * 30))
    assert len(long) > 15 * RATE
    assert -12 < level(long, 10) - level(long, 0.1) < -4
    levels = [level(long, start / RATE + n / 10) for n in range(100)]
    assert max(levels) - min(levels) < 0.7
    assert abs(cents(frequency(long[10 * RATE :], exact), exact)) < 0.3
    # At the seam the wave is no steeper than elsewhere.
    steep = np.abs(np.diff(long))
    assert steep[end - 3 : end + 3].max() <= 1.05 * steep[start : end - 100].max()


def loop(made: Instrument, midi: int) -> list[float]:
    found: list[float] = next(s["loop"] for s in listed(made) if s["midi"] == midi)
    return found


def test_length_as_another_reader_tells_it(made: Instrument, tmp_path: Path) -> None:
    file = tmp_path / "tone.mp3"
    file.write_bytes(file_of(made, 60))
    reported = MP3(file).info
    assert reported.length == pytest.approx(4, abs=0.2)
    assert (reported.channels, reported.sample_rate) == (1, RATE)


def swell(piece: np.ndarray[Any, np.dtype[np.float64]], hertz: float) -> float:
    """How deeply a narrow band around a frequency swells beside its slow fading, 0 to 1."""
    turned = piece * np.exp(-2j * np.pi * hertz * np.arange(len(piece)) / RATE)
    kernel = np.hanning(round(0.04 * RATE))
    band = np.abs(np.convolve(turned, kernel / kernel.sum(), "valid"))[:: RATE // 200]
    steps = np.arange(len(band))
    even = band / np.exp(np.polyval(np.polyfit(steps, np.log(band), 3), steps)) - 1
    return float(even.std() * math.sqrt(2))


#: Just intervals: semitones, ratio, and the partial of the lower note that meets one of the upper.
JUST = [(4, 5 / 4, 5), (7, 3 / 2, 3), (3, 6 / 5, 6)]


@pytest.mark.parametrize("low", range(48, 61))
def test_just_chords_stand_still_from_c3_to_c4(made: Instrument, low: int) -> None:
    """Played as the player does: the nearest tone, faster or slower. What the encoder adds beats as
    well; a tenth is hardly heard beside the third of a chord that is out of tune."""

    def played(midi: float, near: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        sampled = min(SAMPLED, key=lambda one: abs(one - near))
        sound = decoded(made, sampled)
        own = next(one["onset"] for one in listed(made) if one["midi"] == sampled)
        begin = (onset(sound, RATE) - own) * RATE
        places = np.arange(round(2.5 * RATE)) * 2 ** ((midi - sampled) / 12) + begin
        return np.interp(places, np.arange(len(sound)), sound)

    for semitones, ratio, partial in JUST:
        chord = played(low, low) + played(low + 12 * math.log2(ratio), low + semitones)
        depth = swell(chord[RATE // 2 :], partial * 440 * 2 ** ((low - 69) / 12))
        assert depth < 0.11, (semitones, depth)


def test_high_partials_are_weak() -> None:
    """A third octave above the top of a soprano, where the ear is keenest, next to nothing."""
    for midi in SAMPLED:
        spectrum = np.abs(np.fft.rfft(tone(midi)[: 2 * RATE])) ** 2
        above = spectrum[2 * 4_000 :].sum() / spectrum.sum()
        assert above < 0.01, midi


@pytest.mark.long
def test_made_again_it_sounds_the_same(made: Instrument) -> None:
    """By its sound: encoded, it differs between versions of the encoder."""
    again = make_pack(ComputedTones())
    assert json.loads(made.index).keys() == json.loads(again.index).keys()
    for old, new in zip(listed(made), listed(again), strict=True):
        assert (old["midi"], old["loop"]) == (new["midi"], new["loop"])
        assert old["power"] == pytest.approx(new["power"], rel=0.01)
        first, second = decoded(made, old["midi"]), decoded(again, old["midi"])
        assert len(first) == pytest.approx(len(second), abs=2_500)
        length = min(len(first), len(second))
        off = first[:length] - second[:length]
        assert 10 * math.log10(np.mean(first**2) / max(np.mean(off**2), 1e-12)) > 18


def test_it_needs_no_heavy_library(made: Instrument) -> None:
    script = (
        "import sys\n"
        "from chorus_handbook.cache import Cache\n"
        "from chorus_handbook.sound.instrument import ComputedTones, instrument\n"
        "shipped = instrument(ComputedTones(), Cache(None))\n"
        "print(len(shipped.pack), {'numpy', 'soundfile'} & set(sys.modules) or 'light')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == [str(len(made.pack)), "light"]


class Own:
    """Tones that are not the handbook's own, as those of a sound font are."""

    name = "own"
    tone = staticmethod(tone)


def test_without_an_encoder_there_is_a_problem_and_no_crash(
    demo: Checked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "soundfile", None)  # importing it fails
    monkeypatch.setattr("chorus_handbook.sound._font_tones", lambda *_: Own())
    assert demo.config.chorus
    font = SoundFont(file="sounds/own.sf2")
    chorus = demo.config.chorus.model_copy(update={"sound_font": font})
    sound, problems = make_sound(chorus, demo.root, Cache(None))
    assert sound is None
    (problem,) = problems
    assert (problem.code, problem.place.path) == ("instrument", "handbook/chorus.yml")
    assert "soundfile does not start" in problem.message


@pytest.mark.parametrize("midi", [36, 42, 48])
def test_a_phone_lets_basses_hear_their_line(midi: int) -> None:
    """The speaker of a phone gives little below 300 Hz (common practice): a good part of a low tone
    lies above it."""
    spectrum = np.abs(np.fft.rfft(tone(midi)[: 2 * RATE])) ** 2
    assert spectrum[2 * 300 :].sum() / spectrum.sum() > 0.15


@pytest.mark.parametrize("midi", SAMPLED)
def test_what_the_encoder_adds_lies_far_below_the_tone(made: Instrument, midi: int) -> None:
    sound, exact = decoded(made, midi), tone(midi)
    length = min(len(sound), len(exact)) - 1_500
    added = sound[:length] - exact[:length]
    assert 10 * math.log10(np.mean(exact[:length] ** 2) / np.mean(added**2)) > 18
