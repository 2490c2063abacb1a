"""How loud a tone is while it dies away, as ITU-R BS.1770 weighs it, and when it is first heard:
numpy."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from chorus_handbook.shared_facts import FACTS

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

#: The two filters of the recommendation, at 48,000 samples a second: a shelf for the head, and a
#: weighting of low frequencies. Numerators and denominators.
_RATE = 48_000
_FILTERS = (
    (
        (1.53512485958697, -2.69169618940638, 1.19839281085285),
        (1.0, -1.69065929318241, 0.73248077421585),
    ),
    ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621)),
)


def tone_power(sound: Samples, rate: int, loop: tuple[int, int] | None) -> list[float]:
    """The weighted mean square of a tone in each window after its attack; in the last, open one it
    is that of its loop, 0 where it has none."""
    import numpy as np

    heard = _weighted(sound, rate)
    edges = [round(second * rate) for second in (0, *FACTS["loudness"]["windows"])]
    pieces = [heard[start:end] for start, end in pairwise(edges)]
    pieces.append(heard[slice(*loop)] if loop else heard[:0])
    return [float(np.mean(piece**2)) if len(piece) else 0.0 for piece in pieces]


def onset(sound: Samples, rate: int) -> float:
    """The second at which a tone first crosses a set part of its peak, between two samples. By it
    the browser finds where the tone begins, whatever silence its decoder puts before it."""
    import numpy as np

    near = np.abs(sound[: round(FACTS["onset"]["within"] * rate)])
    level = FACTS["onset"]["audible"] * near.max()
    first = int(np.argmax(near > level))
    if first == 0:
        return 0.0
    before = near[first - 1]
    return float((first - 1 + (level - before) / (near[first] - before)) / rate)


def _weighted(sound: Samples, rate: int) -> Samples:
    """The sound through both filters, by way of its spectrum."""
    import numpy as np

    size = 2 * len(sound)  # room for what the filters ring on
    delay = np.exp(-2j * np.pi * np.fft.rfftfreq(size, 1 / rate) / _RATE)
    spectrum = np.fft.rfft(sound, size)
    for above, below in _FILTERS:
        spectrum = spectrum * np.polyval(above[::-1], delay) / np.polyval(below[::-1], delay)
    made: Samples = np.fft.irfft(spectrum, size)[: len(sound)]
    return made
