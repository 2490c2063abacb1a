"""Computes the tones of the built-in instrument, changes their pitch, and gives them a loop so that
they last.

`tone` makes a piano-like tone. Its partials are exact multiples of the fundamental; those of a real
piano are slightly sharp, which would make it harder to hear whether an interval is pure. High
partials are weak and fade first, as on a struck string. Low fundamentals are weak too, as on a
piano, so that a phone without bass still plays a bass line. Each partial fades in two stages,
quickly and then slowly. All values are our own, chosen by measuring; no instrument was recorded.

A tone is computed for a few seconds only. It has a *loop*, in which it does not fade, and whose end
continues at its start without a seam. So player and tracks can repeat the loop for as long as a
note lasts. A short ending follows the loop.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from chorus_handbook.pitch import hertz

if TYPE_CHECKING:
    import numpy

    Samples = numpy.ndarray[Any, numpy.dtype[numpy.floating[Any]]]

#: The phase of partial n is n * n times this, in radians. Partials with such phases do not all peak
#: together, and partials of voices an octave or a twelfth apart neither cancel nor pile up.
_PHASE = 0.6
#: Samples a second. They carry partials up to about 7 kHz, which is enough for a choir's sound.
RATE = 16_000
#: The highest partial, in Hz, and the most partials of a tone.
_HIGHEST_PARTIAL = 5_500.0
_MOST_PARTIALS = 20
#: Hz below which the instrument's body, and any phone, radiates less and less.
_BODY = 170.0
#: Seconds computed of tones up to middle C, and of the highest: it dies away and is looped sooner.
_LONG, _SHORT = 4.0, 3.0
#: Seconds in which a tone rises from silence.
_RISE = 0.007
#: Seconds in which the slow stage of middle C falls to 1/e, the factor by which they change with
#: each octave up, and the most seconds for low tones.
_SLOW, _SLOW_PER_OCTAVE, _LONGEST_SLOW = 6.5, 0.72, 9.0
#: The level (root mean square) of the first second at middle C, and the factor by which it changes
#: with each octave up.
_LEVEL, _LEVEL_PER_OCTAVE = 0.13, 0.84
#: Seconds over which that level is measured, and the highest peak of a tone.
_LEVEL_SECONDS, _PEAK = 1, 0.9
#: The length of a loop, in seconds: the number of periods that comes closest to whole samples.
_SHORTEST_LOOP, _LONGEST_LOOP = 0.5, 0.7
#: Seconds over which the end of a loop is blended into what precedes its start.
_BLEND = 0.15
#: Seconds over which the level before the start and the end of a loop is measured.
_LOOP_LEVEL = 0.2
#: Seconds of the ending after the loop.
_ENDING = 0.15
#: A tone that falls below this share of its level within a loop is left to die away.
_DYING = 1 / 8


def tone(midi: float) -> Samples:
    """The computed tone of a MIDI note number, fractions included: `RATE` samples a second, from -1
    to 1, silent at both ends, with a loop."""
    import numpy as np

    fundamental = hertz(midi)
    time = np.arange(_length(midi)) / RATE
    sound = np.zeros_like(time)
    count = max(1, min(_MOST_PARTIALS, int(_HIGHEST_PARTIAL / fundamental)))
    slowest = min(_SLOW * _SLOW_PER_OCTAVE ** ((midi - 60) / 12), _LONGEST_SLOW)
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
    """Make a tone of the MIDI note `midi` from any sound of that pitch: no longer than a computed
    tone, silent at both ends, as loud as tones of nearby notes, with a loop."""
    import numpy as np

    sound = with_loop(sound[: _length(midi)], RATE, midi)
    rise = int(_RISE * RATE)
    sound[:rise] *= (1 - np.cos(np.pi * np.arange(rise) / rise)) / 2
    level = _LEVEL * _LEVEL_PER_OCTAVE ** ((midi - 60) / 12)
    loudness = float(np.sqrt(np.mean(sound[: _LEVEL_SECONDS * RATE] ** 2)))
    made: Samples = sound * min(level / loudness, _PEAK / float(np.abs(sound).max()))
    return made


def longest() -> float:
    """The length of the longest tone, in seconds."""
    return _LONG


def _length(midi: float) -> int:
    """The number of samples of a tone: low ones last longest."""
    above = min(max((midi - 60) / 27, 0), 1)  # from 0 at middle C to 1 at Eb6
    seconds = _LONG - (_LONG - _SHORT) * above
    return int(RATE * seconds)


def resampled(sound: Samples, cents: float, ratio: float = 1.0) -> Samples:
    """The sound with its pitch raised by `cents`, at `ratio` times its number of samples a second.

    Done on the spectrum, which is exact for a sound that ends in silence: no frequency above the
    new range folds back into it."""
    import numpy as np

    count = round(len(sound) * ratio / 2 ** (cents / 1200))
    if count == len(sound):
        return sound
    spectrum = np.fft.rfft(sound)
    wanted = count // 2 + 1
    spectrum = np.pad(spectrum[:wanted], (0, max(wanted - len(spectrum), 0)))
    made: Samples = np.fft.irfft(spectrum, count) * (count / len(sound))
    return made


def loop_of(count: int, rate: int, midi: float) -> tuple[int, int] | None:
    """The samples at which the loop of a tone begins and ends, for a tone of `count` samples at
    `rate` a second; None where it is too short for a loop."""
    period = rate / hertz(midi)
    lengths = range(round(_SHORTEST_LOOP * rate / period), round(_LONGEST_LOOP * rate / period) + 1)
    periods = min(lengths, key=lambda n: abs(n * period - round(n * period)))
    end = count - round(_ENDING * rate)
    start = end - round(periods * period)
    return (start, end) if start >= round((_BLEND + _LOOP_LEVEL) * rate) else None


def with_loop(sound: Samples, rate: int, midi: float) -> Samples:
    """The tone with a loop, and a short ending in place of its own."""
    import numpy as np

    made = sound.copy()
    ending = min(round(_ENDING * rate), len(made))
    loop = loop_of(len(made), rate, midi)
    if loop:
        start, end = loop
        blend, window = round(_BLEND * rate), round(_LOOP_LEVEL * rate)
        before, after = (_rms(made[place - window : place]) for place in loop)
        if after > before * _DYING:  # keep the level of the loop's start from there on
            way = np.arange(len(made) - start + window // 2) / (end - start)
            made[start - window // 2 :] *= (before / after) ** way
        # Blend the end of the loop into what precedes its start, so that there is no seam.
        fade = np.arange(1, blend + 1) / blend
        made[end - blend : end] *= 1 - fade
        made[end - blend : end] += fade * made[start - blend : start]
        made[end:] = made[start : start + ending]
    made[-ending:] *= (1 + np.cos(np.pi * np.arange(1, ending + 1) / ending)) / 2
    return made


def looped(sound: Samples, rate: int, midi: float, count: int) -> Samples:
    """`count` samples of a tone made by `with_loop`, its loop repeated as often as needed."""
    import numpy as np

    loop = loop_of(len(sound), rate, midi)
    if loop is None or count <= loop[1]:
        return sound[:count]
    start, end = loop
    times = math.ceil((count - end) / (end - start))
    return np.concatenate((sound[:end], *[sound[start:end]] * times))[:count]


def _rms(piece: Samples) -> float:
    """The level (root mean square) of a piece of sound; a tiny number for silence, never 0."""
    import numpy as np

    return float(np.sqrt(np.mean(piece**2))) or 1e-9
