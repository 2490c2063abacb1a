"""Moving a tone in pitch, and finding how far off it is."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from chorus_handbook.sound.tone import RATE, resampled
from chorus_handbook.sound.tone_measures import cents_sharp

Samples = np.ndarray[Any, np.dtype[np.floating[Any]]]


def wave(*partials: tuple[float, float], seconds: float = 4.0, rate: int = RATE) -> Samples:
    """Sines of so many hertz and such a strength, swelling and dying."""
    time = np.arange(round(seconds * rate)) / rate
    made: Samples = np.hanning(len(time)) * sum(
        s * np.sin(2 * np.pi * h * time) for h, s in partials
    )
    return made


@pytest.mark.parametrize("cents", [-150.0, -13.0, 0.3, 31.0, 300.0])
def test_a_tone_is_moved_exactly(cents: float) -> None:
    """Its pitch is changed, and the shape of the wave is not."""
    moved = resampled(wave((220, 1.0)), cents)
    ratio = 2 ** (cents / 1200)
    assert len(moved) == pytest.approx(4 * RATE / ratio, abs=0.51)
    exact = wave((220 * 4 * RATE / len(moved), 1.0), seconds=len(moved) / RATE)
    assert np.abs(moved - exact).max() < 2e-3


def test_nothing_folds_back_where_samples_become_fewer() -> None:
    high = wave((300, 1.0), (11_000, 1.0), rate=3 * RATE)
    cached = resampled(high, 0, 1 / 3)
    assert len(cached) == len(high) / 3
    assert np.abs(cached - wave((300, 1.0))).max() < 1e-3


@pytest.mark.parametrize("hertz", [55.0, 65.406, 261.626, 1244.508])
@pytest.mark.parametrize("cents", [-40.0, -1.0, 0.0, 0.5, 25.0])
def test_it_is_told_how_far_off_a_tone_is(hertz: float, cents: float) -> None:
    tone = wave((hertz * 2 ** (cents / 1200), 1.0), (2 * hertz * 2 ** (cents / 1200), 0.5))
    assert cents_sharp(tone, RATE, hertz) == pytest.approx(cents, abs=0.05)


def test_the_fundamental_counts_unless_it_is_too_weak() -> None:
    """A piano's second partial lies a little above twice the first."""
    stretched = 2 * 100 * 2 ** (8 / 1200)
    assert cents_sharp(wave((100, 0.2), (stretched, 1.0)), RATE, 100) == pytest.approx(0, abs=0.05)
    assert cents_sharp(wave((100, 0.01), (stretched, 1.0)), RATE, 100) == pytest.approx(8, abs=0.05)


def test_what_is_too_short_to_tell_is_taken_as_it_is() -> None:
    assert cents_sharp(wave((100, 1.0), seconds=0.1), RATE, 100) == 0
    assert cents_sharp(np.zeros(2 * RATE), RATE, 100) == pytest.approx(0, abs=100)
    assert math.isfinite(cents_sharp(wave((100, 1.0)), RATE, 7_000))
