"""Computes the samples of practice tracks: a run of an exercise through its keys, as the player
would play it, in one piece.

Every note has a tone of its exact pitch; only glides are made by playing a tone faster or slower.
Notes fade and clicks sound as in the player.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.schedule import Event
from chorus_handbook.sound.tone import RATE, looped

if TYPE_CHECKING:
    from chorus_handbook.sound.instrument import Tones
    from chorus_handbook.sound.tone import Samples

#: Seconds over which a note fades after its end, as in the player.
RELEASE: float = FACTS["release"]
#: The highest peak of a run, from 0 to 1. A run that would exceed it is turned down as a whole.
PEAK: float = FACTS["loudness"]["peak"]
_CLICK_FACTS = FACTS["click"]
#: Tones held in memory while a run is computed: about a megabyte each.
_CACHED_TONES = 64


@dataclass(frozen=True, slots=True)
class Gains:
    """Factors by which the samples of a run are multiplied: `singing` for what voices sing,
    `chords` for the chords before and between keys. `loudness` computes both, so that all runs are
    equally loud. Clicks of a count-in have no factor: they are the same in every run."""

    singing: float = 1.0
    chords: float = 1.0

    def of(self, event: Event, levels: Mapping[str, float]) -> float:
        """The factor for an event, which includes the level of its voice in the mix. `levels` maps
        voices to these levels; a voice that is not in it has 1."""
        if event.voice is not None:
            return self.singing * levels.get(event.voice, 1.0)
        return self.chords if event.kind == "lead" and event.midi is not None else 1.0


def render(
    events: Iterable[Event],
    seconds: float,
    levels: Mapping[str, float],
    tones: Tones,
    gains: Gains | None = None,
) -> Samples:
    """The samples of a run of `seconds` and the fade after it: from -1 to 1, `tone.RATE` a second.
    `levels` maps voices to their levels in the mix (0 to 1); a voice that is not in it has 1.
    Chords between keys and the clicks of a count-in belong to no voice. Raises whatever `tones`
    raise."""
    import numpy as np

    # A long run has millions of samples: float32 takes half the memory; scaling in place, none.
    whole = np.zeros(int((seconds + RELEASE) * RATE) + 1, dtype=np.float32)
    gains = gains or Gains()
    for event in events:
        factor = gains.of(event, levels)
        if factor == 0:
            continue
        sound = _click(event) if event.midi is None else _note(event, tones)
        start = round(event.at * RATE)
        end = min(start + len(sound), len(whole))
        piece = sound[: end - start]
        whole[start:end] += factor * _levels_over(event, len(piece)) * piece
    loudest = max(float(whole.max()), -float(whole.min()))
    if loudest > PEAK:
        whole *= PEAK / loudest
    return whole


def silence(seconds: float) -> Samples:
    """Samples of silence, `tone.RATE` a second."""
    import numpy as np

    return np.zeros(round(seconds * RATE), dtype=np.float32)


def _levels_over(event: Event, count: int) -> Samples | float:
    """The level of an event: one number, or an array with the levels of its first `count` samples
    if it swells."""
    import numpy as np

    if not event.swell:
        return event.level
    times = [0.0, *(second - event.at for second, _ in event.swell)]
    levels = np.log([event.level, *(level for _, level in event.swell)])
    made: Samples = np.exp(np.interp(np.arange(count) / RATE, times, levels))
    return made


def _note(event: Event, tones: Tones) -> Samples:
    """The samples of a note, its fade included."""
    import numpy as np

    assert event.midi is not None
    midi = round(event.midi, 4)
    length, fade = round(event.length * RATE), round(RELEASE * RATE)
    if not event.glides:
        piece = looped(_tone(tones, midi), RATE, midi, length + fade).copy()
    else:
        piece = _glided(event, _tone(tones, midi), length + fade)
    ending = piece[length:]
    ending *= 1 - np.arange(1, len(ending) + 1) / fade
    return piece


def _glided(event: Event, sound: Samples, count: int) -> Samples:
    """`count` samples of a tone played faster or slower, so that its pitch moves evenly from the
    start of each glide to its end and stays the same between glides."""
    import numpy as np

    assert event.midi is not None
    time = np.arange(count) / RATE
    moments, pitches = [0.0], [event.midi]
    for glide in event.glides:
        moments += [glide.start - event.at, max(glide.end, glide.start + 1 / RATE) - event.at]
        pitches += [pitches[-1], glide.midi]
    rate = 2 ** ((np.interp(time, moments, pitches) - event.midi) / 12)
    # The position in the tone is the integral of its rate; by trapezoids, exact to 1e-9 here.
    place = np.concatenate(([0.0], np.cumsum((rate[1:] + rate[:-1]) / 2)))
    sound = looped(sound, RATE, round(event.midi, 4), int(place[-1]) + 2)
    moved: Samples = np.interp(place, np.arange(len(sound)), sound, right=0.0)
    return moved


@lru_cache(maxsize=_CACHED_TONES)
def _tone(tones: Tones, midi: float) -> Samples:
    return tones.tone(midi)


def _click(event: Event) -> Samples:
    """The samples of a click for a spoken beat, or for a beat of the count-in, where the first of a
    bar sounds different."""
    return _click_of(event.spoken or ("one" if event.one else "count"))


@lru_cache
def _click_of(kind: str) -> Samples:
    """The samples of a click of this kind, the name of its frequency in the shared facts."""
    import numpy as np

    time = np.arange(round(_CLICK_FACTS["seconds"] * RATE)) / RATE
    rise = np.minimum(time / _CLICK_FACTS["rise"], 1)
    fall = np.minimum((_CLICK_FACTS["seconds"] - time) / _CLICK_FACTS["fall"], 1)
    wave = np.sin(2 * np.pi * _CLICK_FACTS["hertz"][kind] * time)
    click: Samples = (
        _CLICK_FACTS["peak"] * rise * fall * np.exp(-time / _CLICK_FACTS["decay"]) * wave
    )
    return click
