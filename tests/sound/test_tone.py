"""Tones that are held longer than they were made."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from chorus_handbook.sound.tone import RATE, loop_of, looped, with_loop

Samples = np.ndarray[Any, np.dtype[np.floating[Any]]]


def dying(hertz: float, seconds: float, life: float) -> Samples:
    """A sine that dies to 1/e in `life` seconds."""
    time = np.arange(round(seconds * RATE)) / RATE
    made: Samples = np.exp(-time / life) * np.sin(2 * np.pi * hertz * time)
    return made


@pytest.mark.parametrize("midi", [33, 36, 47, 60, 69.14, 71.5, 90])
def test_a_loop_is_whole_periods(midi: float) -> None:
    found = loop_of(4 * RATE, RATE, midi)
    assert found is not None
    periods = (found[1] - found[0]) * 440 * 2 ** ((midi - 69) / 12) / RATE
    assert abs(periods - round(periods)) < 0.01 * max(1, 440 * 2 ** ((midi - 69) / 12) / 500)
    assert 0.45 * RATE < found[1] - found[0] < 0.75 * RATE


@pytest.mark.parametrize("midi", [36, 60, 61.3, 84])
@pytest.mark.parametrize("life", [1.0, 4.0, 1e6])
def test_what_is_held_stays_as_it_is(midi: float, life: float) -> None:
    hertz = 440 * 2 ** ((midi - 69) / 12)
    sound = with_loop(dying(hertz, 4, life), RATE, midi)
    loop = loop_of(len(sound), RATE, midi)
    assert loop is not None
    long = looped(sound, RATE, midi, 20 * RATE)
    assert len(long) == 20 * RATE
    assert np.allclose(long[: loop[0] - RATE], dying(hertz, 4, life)[: loop[0] - RATE])
    piece = long[loop[0] :]
    fifths = piece[: len(piece) // 3200 * 3200].reshape(-1, 3200)
    levels = 20 * np.log10(np.sqrt((fifths**2).mean(axis=1)))
    assert levels.max() - levels.min() < 0.5
    # One line in the spectrum, where it belongs: a step at each seam would make sidebands.
    spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece))))
    top = int(spectrum.argmax())
    assert abs(top * RATE / len(piece) - hertz) < 0.1
    away = np.delete(spectrum, np.arange(max(top - 60, 0), top + 60))
    assert away.max() < 0.01 * spectrum[top]


def test_what_dies_is_let_die() -> None:
    sound = with_loop(dying(440, 4, 0.15), RATE, 69)
    assert np.abs(looped(sound, RATE, 69, 10 * RATE)[-RATE:]).max() < 1e-6


def test_what_breaks_off_in_its_loop_is_not_blown_up() -> None:
    """A recording that ends there: its noise must not be lifted to the level of the tone."""
    sound = dying(440, 4, 1e6)
    loop = loop_of(len(sound), RATE, 69)
    assert loop is not None
    last = np.arange(len(sound) - loop[0] - RATE // 20) / RATE
    sound[-len(last) :] *= np.exp(-last / 0.03)
    sound[-len(last) :] += 1e-6 * np.random.default_rng(1).standard_normal(len(last))
    assert np.abs(with_loop(sound, RATE, 69)).max() < 1.1


def test_behind_the_loop_the_wave_goes_on() -> None:
    """Partials that are no multiples, as a piano's: the file must not break where the loop ends."""
    sound = dying(220, 4, 5) + dying(331.7, 4, 3) + dying(523.9, 4, 4)
    loop = loop_of(len(sound), RATE, 57)
    assert loop is not None
    steps = np.abs(np.diff(with_loop(sound, RATE, 57), 2))
    assert steps[loop[1] - 5 : loop[1] + 5].max() <= 1.1 * steps[RATE : loop[0]].max()


@pytest.mark.parametrize("seconds", [0.0, 0.05, 0.3, 0.9])
def test_a_short_tone_has_no_loop(seconds: float) -> None:
    short = dying(440, seconds, 1)
    sound = with_loop(short, RATE, 69)
    assert loop_of(len(sound), RATE, 69) is None and len(sound) == len(short)
    assert len(looped(sound, RATE, 69, 3 * RATE)) == len(short)
    assert not len(sound) or sound[-1] == 0


def test_silence_is_held_as_silence() -> None:
    assert not looped(with_loop(np.zeros(4 * RATE), RATE, 60), RATE, 60, 9 * RATE).any()


def test_a_tone_ends_in_silence_behind_its_loop() -> None:
    sound = with_loop(dying(220, 4, 5), RATE, 57)
    assert abs(sound[-1]) < 1e-6 and np.abs(np.diff(sound[-RATE // 5 :])).max() < 0.1


def test_a_note_that_is_shorter_is_the_tone_itself() -> None:
    sound = with_loop(dying(220, 4, 5), RATE, 57)
    assert np.array_equal(looped(sound, RATE, 57, RATE), sound[:RATE])
