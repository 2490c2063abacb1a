"""A warm, piano-like tone, made by adding partials: numpy, behind this one module.

The partials are exact multiples of the fundamental. A real piano's are a little sharp, which would
blur just the thing that the player is to let singers hear: whether beats stop. High partials are
weak and die soonest, as in a struck string. Low fundamentals are weak as well, as they are in a
piano; so basses hear their line on a phone, too, which has no depth. Each partial dies in two
stages, quickly at first and then slowly; after some seconds the tone stays as it is (`sustain`), so
that a chord of many bars still stands. All figures are our own, settled by measurement; no
instrument was recorded.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from chorus_handbook.pitch import hertz
from chorus_handbook.sound.sustain import sustained

if TYPE_CHECKING:
    import numpy

    Samples = numpy.ndarray[Any, numpy.dtype[numpy.floating[Any]]]

#: Radians of the first partial's phase, times n * n for the others: spread out, so that they do not
#: all peak together, and such that voices an octave or a twelfth apart neither cancel each other's
#: partials nor pile them up.
_PHASE = 0.6
#: Samples a second: enough for partials up to 7 kHz, above which nothing of a choir's is missed.
RATE = 16_000
_HIGHEST_PARTIAL = 5_500.0
_MOST_PARTIALS = 20
#: Below this frequency, in Hz, the instrument's body and every phone give less and less.
_BODY = 170.0
#: Seconds of a low tone, and of the highest: these die away sooner, so that they are held sooner.
_LONG, _SHORT = 4.0, 3.0
_RISE = 0.007
#: The slow stage takes so many seconds to die to 1/e, an octave higher so much less of that.
_SLOW, _SLOWER_AN_OCTAVE = 6.5, 0.72
_LONGEST_SLOW = 9.0
#: Loudness is taken from this many seconds, and the peak kept below this.
_HEARD_FIRST, _PEAK = 1, 0.9
#: How far the level of the first second is lifted or lowered an octave above middle C.
_LEVEL, _LEVEL_AN_OCTAVE = 0.13, 0.84


def tone(midi: float) -> Samples:
    """The tone of a MIDI note, or of a pitch between two, from its attack to its end: `RATE`
    samples a second from -1 to 1, silent at both ends."""
    import numpy as np

    fundamental = hertz(midi)
    time = np.arange(_length(midi)) / RATE
    sound = np.zeros_like(time)
    count = max(1, min(_MOST_PARTIALS, int(_HIGHEST_PARTIAL / fundamental)))
    slowest = min(_SLOW * _SLOWER_AN_OCTAVE ** ((midi - 60) / 12), _LONGEST_SLOW)
    for n in range(1, count + 1):
        frequency = n * fundamental
        # The hammer strikes at a seventh of the string, where the seventh partial has its node.
        struck = 1.0 if n % 7 else 0.3
        body = frequency**2 / (frequency**2 + _BODY**2)
        strength = struck * body * n**-1.1 * math.exp((fundamental - frequency) / 1_500)
        slow = slowest / (1 + 0.22 * (n - 1))
        fading = 0.45 * np.exp(-time / (0.18 * slow)) + 0.55 * np.exp(-time / slow)
        phase = _PHASE * n * n
        sound += strength * fading * np.sin(2 * np.pi * frequency * time + phase)
    return shaped(sound, midi)


def shaped(sound: Samples, midi: float) -> Samples:
    """A tone of any making, no longer than that of its pitch, silent at both ends, as loud as its
    neighbours, and ready to be held."""
    import numpy as np

    sound = sustained(sound[: _length(midi)], RATE, midi)
    rise = int(_RISE * RATE)
    sound[:rise] *= (1 - np.cos(np.pi * np.arange(rise) / rise)) / 2
    level = _LEVEL * _LEVEL_AN_OCTAVE ** ((midi - 60) / 12)
    loudness = float(np.sqrt(np.mean(sound[: _HEARD_FIRST * RATE] ** 2)))
    made: Samples = sound * min(level / loudness, _PEAK / float(np.abs(sound).max()))
    return made


def longest() -> float:
    """Seconds of the longest tone."""
    return _LONG


def _length(midi: float) -> int:
    """Samples of a tone: low ones last longest."""
    seconds = _LONG - (_LONG - _SHORT) * min(max((midi - 60) / 27, 0), 1)
    return int(RATE * seconds)
