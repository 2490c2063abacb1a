"""Measures a single tone, given as samples from -1 to 1: how loud it is as it fades, when it
begins, and by how many cents it is out of tune."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from chorus_handbook.shared_facts import FACTS

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

#: Samples a second for which ITU-R BS.1770 gives the filters below.
_RATE = 48_000
#: The K-weighting of ITU-R BS.1770, annex 1: a shelf that stands for the head, then a high-pass
#: filter, each as numerator and denominator.
_FILTERS = (
    (
        (1.53512485958697, -2.69169618940638, 1.19839281085285),
        (1.0, -1.69065929318241, 0.73248077421585),
    ),
    ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621)),
)
#: Where the pitch of a tone is measured, in seconds: after the attack, before it has died away.
_PITCH_FROM, _PITCH_TO = 0.15, 2.15
#: How many cents above or below its expected frequency a partial is looked for.
_MOST_CENTS_OFF = 70.0
#: The partials that are measured; 1 is the fundamental.
_PARTIALS = range(1, 5)
#: The fundamental counts if it has at least this share of the strongest of the low partials.
_AUDIBLE = 0.05


def tone_power(sound: Samples, rate: int, loop: tuple[int, int] | None) -> list[float]:
    """The K-weighted mean square (ITU-R BS.1770) of a tone in each window after its attack
    (`loudness.windows` of the shared facts); the last number is that of its `loop` (first and last
    sample), or 0 if it has none."""
    import numpy as np

    heard = _weighted(sound, rate)
    edges = [round(second * rate) for second in (0, *FACTS["loudness"]["windows"])]
    pieces = [heard[start:end] for start, end in pairwise(edges)]
    pieces.append(heard[slice(*loop)] if loop else heard[:0])
    return [float(np.mean(piece**2)) if len(piece) else 0.0 for piece in pieces]


def onset(sound: Samples, rate: int) -> float:
    """The second at which a tone first reaches a set share of its peak (`onset.audible` of the
    shared facts), interpolated between two samples. The browser needs it to find where a decoded
    tone begins, because MP3 decoders put silence of different lengths before it."""
    import numpy as np

    near = np.abs(sound[: round(FACTS["onset"]["within"] * rate)])
    level = FACTS["onset"]["audible"] * near.max()
    first = int(np.argmax(near > level))
    if first == 0:
        return 0.0
    before = near[first - 1]
    return float((first - 1 + (level - before) / (near[first] - before)) / rate)


def _weighted(sound: Samples, rate: int) -> Samples:
    """The sound through both filters, computed on its spectrum."""
    import numpy as np

    size = 2 * len(sound)  # room for the filters to ring out
    delay = np.exp(-2j * np.pi * np.fft.rfftfreq(size, 1 / rate) / _RATE)
    spectrum = np.fft.rfft(sound, size)
    for above, below in _FILTERS:
        spectrum = spectrum * np.polyval(above[::-1], delay) / np.polyval(below[::-1], delay)
    made: Samples = np.fft.irfft(spectrum, size)[: len(sound)]
    return made


def cents_sharp(sound: Samples, rate: int, hertz: float) -> float:
    """The cents by which a tone lies above the frequency `hertz`, measured at its fundamental, or
    at its strongest low partial where the fundamental is too weak to be heard."""
    import numpy as np

    piece = sound[round(_PITCH_FROM * rate) : round(_PITCH_TO * rate)]
    if not len(piece):
        return 0.0
    size = 1 << 19  # fine enough for a hundredth of a cent at 60 Hz, once a peak is fitted
    spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece)), size))
    found: list[tuple[float, float]] = []
    for partial in _PARTIALS:
        near = partial * hertz * size / rate
        low, high = (int(near * 2 ** (way * _MOST_CENTS_OFF / 1200)) for way in (-1, 1))
        if high + 2 >= len(spectrum):
            break
        peak = low + int(np.argmax(spectrum[low : high + 2]))
        found.append((float(spectrum[peak]), 1200 * math.log2(_fitted(spectrum, peak) / near)))
    strongest = max(found, default=(0.0, 0.0))
    chosen = found[0] if found and found[0][0] >= _AUDIBLE * strongest[0] else strongest
    return chosen[1]


def _fitted(spectrum: Samples, peak: int) -> float:
    """The exact position of the peak near index `peak`: the top of a parabola through three samples
    of the spectrum."""
    left, top, right = (float(value) for value in spectrum[peak - 1 : peak + 2])
    bend = left - 2 * top + right
    return peak + (0.5 * (left - right) / bend if bend else 0.0)
