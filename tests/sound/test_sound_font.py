"""A chorus's own sound font: fonts made here by the published specification, and the one that
pretty_midi ships. What was made is read by a decoder that is not the encoder's kin."""

from __future__ import annotations

import json
import math
import os
import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import miniaudio
import numpy as np
import pretty_midi
import pytest

from checked import Checked
from chorus_handbook import worker
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.sound import make_sound
from chorus_handbook.sound.instrument import (
    LARGEST_PACK,
    SAMPLED,
    ComputedTones,
    Instrument,
    instrument,
)
from chorus_handbook.sound.render import render
from chorus_handbook.sound.schedule import Event
from chorus_handbook.sound.sound_font import SoundFontError, open_font
from chorus_handbook.sound.tone import RATE

Samples = np.ndarray[Any, np.dtype[np.float64]]
#: A whole General MIDI font (GPL), tuned by many hands. Program 19 is a church organ, 73 a flute.
REAL = Path(pretty_midi.__file__).with_name("TimGM6mb.sf2")


@pytest.fixture
def put(tmp_path: Path, font: Callable[..., bytes]) -> Callable[..., Path]:
    """A font in a file."""

    def made(**how: Any) -> Path:
        path = tmp_path / f"{len(list(tmp_path.iterdir()))}.sf2"
        path.write_bytes(font(**how))
        return path

    return made


@pytest.fixture
def fresh_worker() -> Iterator[None]:
    """A process that has imported nothing yet, before and after."""
    worker._shared.stop()
    yield
    worker._shared.stop()


def exact(midi: float) -> float:
    """Hertz of a MIDI note; A4 = 440 (ISO 16:1975)."""
    return float(440 * 2 ** ((midi - 69) / 12))


def off(sound: Samples, midi: float) -> float:
    """Cents above a pitch, by the zero crossings of what lies within a fourth of it."""
    spectrum = np.fft.rfft(sound)
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    spectrum[(hertz < exact(midi) * 0.75) | (hertz > exact(midi) * 1.33)] = 0
    wave = np.fft.irfft(spectrum, len(sound))[RATE // 2 : -RATE // 2]
    up = np.flatnonzero((wave[:-1] < 0) & (wave[1:] >= 0))
    places = up - wave[up] / (wave[up + 1] - wave[up])
    period = np.polyfit(np.arange(len(places)), places, 1)[0] / RATE
    return float(1200 * math.log2(1 / period / exact(midi)))


def decoded(made: Instrument, midi: int) -> Samples:
    one = next(s for s in json.loads(made.index)["samples"] if s["midi"] == midi)
    file = made.pack[one["start"] : one["start"] + one["bytes"]]
    heard = miniaudio.decode(file, miniaudio.SampleFormat.FLOAT32, nchannels=1, sample_rate=RATE)
    return np.asarray(heard.samples, dtype=np.float64)


def test_the_measure_sees_a_cent() -> None:
    time = np.arange(4 * RATE) / RATE
    for cents in (-7.0, 0.0, 1.0, 30.0):
        wave = np.sin(2 * np.pi * exact(60 + cents / 100) * time)
        assert off(wave, 60) == pytest.approx(cents, abs=0.05)


@pytest.mark.parametrize("mistuned", [0, -31, 14])
def test_every_tone_of_a_font_is_brought_to_its_pitch(
    put: Callable[..., Path], store: Cache, mistuned: int
) -> None:
    file = put(hertz=440 * 2 ** (mistuned / 1200))
    tones = open_font(file, 0, 0, store)
    for midi in (33, 36, 57, 60, 69, 87, 60.14, 63.86, 59.5):
        assert abs(off(tones.tone(midi), midi)) < 0.5, midi


def test_a_compressed_font_is_played(put: Callable[..., Path], store: Cache) -> None:
    tones = open_font(put(compressed=True), 0, 0, store)
    for midi in (48, 60, 74.5):
        assert abs(off(tones.tone(midi), midi)) < 0.5, midi


def test_the_pack_of_a_font_sounds_in_tune(put: Callable[..., Path], store: Cache) -> None:
    made = instrument(open_font(put(), 0, 0, store), store)
    assert [s["midi"] for s in json.loads(made.index)["samples"]] == list(SAMPLED)
    for midi in SAMPLED:
        sound = decoded(made, midi)
        assert abs(off(sound, midi)) < 1, midi
        peak = np.abs(sound).max()
        assert 0.1 < peak < 0.99
        assert np.argmax(np.abs(sound) > 0.25 * peak) / RATE < 0.02  # on time
        assert np.abs(sound[-80:]).max() < 0.02  # no click


@pytest.mark.parametrize("program", [19, 73])
def test_a_published_font_sounds_in_tune(store: Cache, program: int) -> None:
    """The font itself is up to 13 cents off in these programs."""
    tones = open_font(REAL, 0, program, store)
    for midi in (36, 45, 60, 67, 75, 84):
        assert abs(off(tones.tone(midi), midi)) < 1.5, midi


@pytest.mark.parametrize("program", [0, 48])
def test_a_font_is_not_much_heavier_than_our_own_tones(store: Cache, program: int) -> None:
    """A piano, strings: as docs/writing/hearing.md has it."""
    assert len(instrument(open_font(REAL, 0, program, store), store).pack) <= LARGEST_PACK


def test_a_loud_font_is_not_distorted(put: Callable[..., Path], store: Cache) -> None:
    sound = open_font(put(peak=0.9, layers=12), 0, 0, store).tone(69)
    spectrum = np.abs(np.fft.rfft(sound[:RATE] * np.hanning(RATE)))
    assert spectrum[1_250:5_000].max() < 0.003 * spectrum.max()  # it has two partials


def test_silence_before_a_tone_is_left_out(put: Callable[..., Path], store: Cache) -> None:
    sound = open_font(put(silence=0.4), 0, 0, store).tone(69)
    assert np.argmax(np.abs(sound) > 0.25 * np.abs(sound).max()) / RATE < 0.02


def test_tones_are_as_long_as_our_own_and_end_in_silence(
    put: Callable[..., Path], store: Cache
) -> None:
    tones = open_font(put(), 0, 0, store)
    for midi in (40, 60.5, 84):
        assert len(tones.tone(midi)) == len(ComputedTones().tone(midi))
    cached = np.frombuffer(tones.played(60), dtype="<i2")
    assert np.abs(cached[-20:]).max() < 0.003 * np.abs(cached).max()


def test_tones_are_as_loud_as_our_own(put: Callable[..., Path], store: Cache) -> None:
    for peak in (0.02, 0.9):
        tones = open_font(put(peak=peak), 0, 0, store)
        for midi in (40, 60, 80):
            ours, theirs = (
                np.sqrt(np.mean(t.tone(midi)[:RATE] ** 2)) for t in (ComputedTones(), tones)
            )
            assert theirs == pytest.approx(ours, rel=0.02)


def test_tracks_are_played_on_the_font(put: Callable[..., Path], store: Cache) -> None:
    tones = open_font(put(), 0, 0, store)
    event = Event(0.0, 6.0, "note", 0, "alto", "n1", 64.14, 1.0)
    heard = render([event], 6, {}, tones)
    assert abs(off(heard, 64.14)) < 0.5
    # This font has no partial above the second, our own tones have.
    third = np.abs(np.fft.rfft(heard))[
        round(3 * exact(64.14) * len(heard) / RATE) + np.arange(-9, 9)
    ]
    ours = np.abs(np.fft.rfft(render([event], 6, {}, ComputedTones())))
    assert third.max() < 0.01 * ours.max()


def test_tones_are_kept(put: Callable[..., Path], tmp_path: Path, monkeypatch: Any) -> None:
    file = put()
    cache = Cache(tmp_path / "store")
    first = instrument(open_font(file, 0, 0, cache), cache)
    monkeypatch.setattr(worker, "call", None)
    assert instrument(open_font(file, 0, 0, cache), cache) == first
    assert open_font(file, 0, 0, cache).tone(60).any()


def test_another_font_or_program_is_another_instrument(
    put: Callable[..., Path], store: Cache
) -> None:
    two = put(presets=((0, 0, "Pipe"), (0, 5, "Other")))
    names = {open_font(f, 0, p, store).name for f, p in ((two, 0), (two, 5), (put(), 0))}
    assert len(names) == 3


def fault(file: Path, bank: int = 0, program: int = 0) -> SoundFontError:
    with pytest.raises(SoundFontError) as caught:
        open_font(file, bank, program, Cache(None)).tone(60)
    return caught.value


def test_a_program_that_is_not_there_is_told_with_those_that_are(put: Callable[..., Path]) -> None:
    file = put(presets=((0, 3, "Pipe"), (0, 7, "Reed")))
    text = fault(file, 0, 4)
    assert (
        text.message == 'The sound font has no instrument with the number 4 ("program") in bank 0.'
    )
    assert text.hint.endswith("There are 3 in bank 0 (Pipe), 7 in bank 0 (Reed).")
    many = put(presets=tuple((0, n, f"Pipe {n}") for n in range(15)))
    assert fault(many, 0, 40).hint.endswith("11 in bank 0 (Pipe 11) and 3 more.")
    assert fault(put(presets=((5, 5, "Pipe"),))).hint.endswith("There is none in banks 0 and 128.")


def test_a_font_without_a_note_in_our_reach_is_told(put: Callable[..., Path]) -> None:
    assert (
        fault(put(keys=(90, 127))).message
        == "This instrument of the sound font has no sound at C4."
    )


def test_a_silent_font_is_told(put: Callable[..., Path]) -> None:
    assert "no sound at C4" in fault(put(peak=0.0)).message


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: data[: len(data) // 2],
        lambda data: data[:12],
        lambda data: data[:12] + os.urandom(2_000),
        lambda data: data.replace(b"pdta", b"adtp"),
        lambda data: data.replace(
            b"smpl" + data[data.index(b"smpl") + 4 :][:4], b"smpl" + b"\xff" * 4
        ),
        lambda data: data.replace(b"phdr", b"phdx"),
    ],
    ids=["half", "head", "noise", "no-presets", "endless", "no-heads"],
)
def test_damaged_fonts_are_told(put: Callable[..., Path], damage: Callable[[bytes], bytes]) -> None:
    file = put()
    file.write_bytes(damage(file.read_bytes()))
    assert fault(file).message == "The sound font is damaged: FluidSynth cannot read it."


def test_no_damage_does_harm(put: Callable[..., Path], font: Callable[..., bytes]) -> None:
    """Every 16-bit field of the tables behind the samples, set to its largest value."""
    whole = font()
    file = put()
    start = whole.index(b"pdta")
    for place in range(start, len(whole) - 1, 14):
        file.write_bytes(whole[:place] + struct.pack("<H", 0xFFFF) + whole[place + 2 :])
        try:
            assert np.abs(open_font(file, 0, 0, Cache(None)).tone(60)).max() < 1
        except SoundFontError as error:
            assert error.message and error.hint


@pytest.mark.usefixtures("fresh_worker")
def test_what_plays_fonts_may_be_missing(
    put: Callable[..., Path], tmp_path: Path, monkeypatch: Any
) -> None:
    (tmp_path / "without").mkdir()
    (tmp_path / "without" / "fluidsynth.py").write_text("raise ImportError('no library')\n")
    monkeypatch.syspath_prepend(str(tmp_path / "without"))
    text = fault(put())
    assert text.message == "The program that plays sound fonts is not installed: no library"
    assert "chorus-handbook[sound-font]" in text.hint and "libfluidsynth3" in text.hint


def test_a_handbook_is_heard_on_its_font(
    demo: Checked, font: Callable[..., bytes], tmp_path: Path, store: Cache
) -> None:
    (tmp_path / "sounds").mkdir()
    (tmp_path / "sounds" / "pipe.sf2").write_bytes(font(presets=((8, 40, "Pipe"),)))
    assert demo.config.chorus
    chorus = demo.config.chorus.model_dump(exclude_none=True)
    named = {"file": "sounds/pipe.sf2", "bank": 8, "program": 40}
    piped = Chorus.model_validate({**chorus, "sound_font": named})
    sound, problems = make_sound(piped, tmp_path, store)
    assert not problems and sound
    assert sound.tones.name.endswith(" 8 40")
    assert abs(off(decoded(sound.instrument, 60), 60)) < 1
    other = {**named, "program": 1}
    wrong = Chorus.model_validate({**chorus, "sound_font": other})
    sound, problems = make_sound(wrong, tmp_path, store)
    assert [(p.code, p.place.path) for p in problems] == [
        ("sound-font", f"{tmp_path.name}/chorus.yml")
    ]
    assert sound is None
