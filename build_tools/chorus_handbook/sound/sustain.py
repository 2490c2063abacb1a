"""The part of a tone that is played again and again, where a note is longer than the tone: numpy.

A tone is made for some seconds only. From the beginning of its loop on it no longer dies away, and
the loop's end leads into its beginning without a seam: the same place of a period, the same level,
one blended into the other. So player and tracks hold a note for as long as it is written. Behind
the loop there is a short ending, so that the tone's file does not break off.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from chorus_handbook.pitch import hertz

if TYPE_CHECKING:
    from chorus_handbook.sound.tone import Samples

#: Seconds of a loop: as many periods as make whole samples best, within this much.
_LEAST, _MOST = 0.5, 0.7
#: Seconds over which its end is blended with what leads to its beginning, and of a level.
_BLEND, _LEVEL = 0.15, 0.2
#: Seconds of the ending.
_ENDING = 0.15
#: What has fallen to less than this in the course of a loop is dying, and is let die.
_DYING = 1 / 8


def loop_of(count: int, rate: int, midi: float) -> tuple[int, int] | None:
    """Where in a tone of so many samples, `rate` a second, its loop begins and ends; None where it
    is too short for one."""
    period = rate / hertz(midi)
    lengths = range(round(_LEAST * rate / period), round(_MOST * rate / period) + 1)
    periods = min(lengths, key=lambda n: abs(n * period - round(n * period)))
    end = count - round(_ENDING * rate)
    start = end - round(periods * period)
    return (start, end) if start >= round((_BLEND + _LEVEL) * rate) else None


def sustained(sound: Samples, rate: int, midi: float) -> Samples:
    """The tone, made ready to be held: with its loop, and an ending in place of its own."""
    import numpy as np

    made = sound.copy()
    ending = min(round(_ENDING * rate), len(made))
    loop = loop_of(len(made), rate, midi)
    if loop:
        start, end = loop
        blend, window = round(_BLEND * rate), round(_LEVEL * rate)
        before, after = (_level(made[place - window : place]) for place in loop)
        if after > before * _DYING:
            way = np.arange(len(made) - start + window // 2) / (end - start)
            made[start - window // 2 :] *= (before / after) ** way
        fade = np.arange(1, blend + 1) / blend
        made[end - blend : end] *= 1 - fade
        made[end - blend : end] += fade * made[start - blend : start]
        made[end:] = made[start : start + ending]
    made[-ending:] *= (1 + np.cos(np.pi * np.arange(1, ending + 1) / ending)) / 2
    return made


def held(sound: Samples, rate: int, midi: float, count: int) -> Samples:
    """So many samples of a tone that was made ready, its loop played again and again."""
    import numpy as np

    loop = loop_of(len(sound), rate, midi)
    if loop is None or count <= loop[1]:
        return sound[:count]
    start, end = loop
    times = -(-(count - end) // (end - start))
    return np.concatenate((sound[:end], *[sound[start:end]] * times))[:count]


def _level(piece: Samples) -> float:
    import numpy as np

    return float(np.sqrt(np.mean(piece**2))) or 1e-9
