"""Recorded tones moved in pitch, and how far off they are: numpy."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

#: Where in a tone its pitch is taken, in seconds: after the attack, before it has died away.
_FROM, _TO = 0.15, 2.15
#: How far from where it belongs a partial is looked for, in cents.
_WIDEST = 70.0
_PARTIALS = range(1, 5)
#: The fundamental counts if it is so strong beside the strongest of the low partials.
_AUDIBLE = 0.05


def resampled(sound: Samples, cents: float, ratio: float = 1.0) -> Samples:
    """The same tone so many cents higher, with `ratio` as many samples a second.

    By way of its spectrum, which is exact for a tone that is silent at its end: nothing above the
    new range folds back, as it would if samples were only picked."""
    import numpy as np

    count = round(len(sound) * ratio / 2 ** (cents / 1200))
    if count == len(sound):
        return sound
    spectrum = np.fft.rfft(sound)
    wanted = count // 2 + 1
    spectrum = np.pad(spectrum[:wanted], (0, max(wanted - len(spectrum), 0)))
    made: Samples = np.fft.irfft(spectrum, count) * (count / len(sound))
    return made


def off_by(sound: Samples, rate: int, hertz: float) -> float:
    """How many cents a tone lies above the pitch of `hertz`, by its fundamental; where that is too
    weak to be heard, by its strongest low partial."""
    import numpy as np

    piece = sound[round(_FROM * rate) : round(_TO * rate)]
    if not len(piece):
        return 0.0
    size = 1 << 19  # fine enough for a hundredth of a cent at 60 Hz, once a peak is fitted
    spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece)), size))
    found: list[tuple[float, float]] = []
    for partial in _PARTIALS:
        near = partial * hertz * size / rate
        low, high = (int(near * 2 ** (way * _WIDEST / 1200)) for way in (-1, 1))
        if high + 2 >= len(spectrum):
            break
        peak = low + int(np.argmax(spectrum[low : high + 2]))
        found.append((float(spectrum[peak]), 1200 * math.log2(_fitted(spectrum, peak) / near)))
    strongest = max(found, default=(0.0, 0.0))
    chosen = found[0] if found and found[0][0] >= _AUDIBLE * strongest[0] else strongest
    return chosen[1]


def _fitted(spectrum: Samples, peak: int) -> float:
    """Where a peak lies between samples of the spectrum: the top of a parabola through three."""
    left, top, right = (float(value) for value in spectrum[peak - 1 : peak + 2])
    bend = left - 2 * top + right
    return peak + (0.5 * (left - right) / bend if bend else 0.0)
