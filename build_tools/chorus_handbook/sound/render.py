"""A run as samples: what the player sounds, computed in one piece, for tracks.

Every note is a tone at its very pitch, so that only glides are played faster or slower. Notes end
as the player ends them, clicks are the player's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.schedule import Event
from chorus_handbook.sound.sustain import held
from chorus_handbook.sound.tone import RATE

if TYPE_CHECKING:
    from chorus_handbook.sound.instrument import Tones
    from chorus_handbook.sound.tone import Samples

#: Seconds over which a note fades when it has ended, as in the player.
RELEASE: float = FACTS["release"]
#: The loudest sample of a run: what would be louder is turned down as a whole.
PEAK: float = FACTS["loudness"]["peak"]
_CLICK = FACTS["click"]
#: Tones kept while a run is computed: about a megabyte each.
_MOST_TONES = 64


@dataclass(frozen=True, slots=True)
class Gains:
    """Factors that bring the singing, and chords between keys, to the same loudness (`loudness`).
    The clicks of a count are as loud in every run."""

    singing: float = 1.0
    chords: float = 1.0

    def of(self, event: Event, levels: Mapping[str, float]) -> float:
        """The factor of an event; a voice without a level has 1."""
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
    """The samples of a run of so many seconds, from -1 to 1, `RATE` a second, and the end of its
    last note. `levels` gives each voice's, 1 where it has none; chords between keys and the clicks
    of a count-in are nobody's. Raises what `tones` raise."""
    import numpy as np

    # A long run is millions of samples: they are kept in half the room, and scaled where they are.
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
        whole[start:end] += factor * _course(event, len(piece)) * piece
    loudest = max(float(whole.max()), -float(whole.min()))
    if loudest > PEAK:
        whole *= PEAK / loudest
    return whole


def _course(event: Event, count: int) -> Samples | float:
    """The level of an event, sample by sample where it moves: evenly in decibels."""
    import numpy as np

    if not event.swell:
        return event.level
    times = [0.0, *(second - event.at for second, _ in event.swell)]
    levels = np.log([event.level, *(level for _, level in event.swell)])
    made: Samples = np.exp(np.interp(np.arange(count) / RATE, times, levels))
    return made


def _note(event: Event, tones: Tones) -> Samples:
    """A note from its attack to its end, faded."""
    import numpy as np

    assert event.midi is not None
    midi = round(event.midi, 4)
    length, fade = round(event.length * RATE), round(RELEASE * RATE)
    if not event.glides:
        piece = held(_tone(tones, midi), RATE, midi, length + fade).copy()
    else:
        piece = _glided(event, _tone(tones, midi), length + fade)
    ending = piece[length:]
    ending *= 1 - np.arange(1, len(ending) + 1) / fade
    return piece


def _glided(event: Event, sound: Samples, count: int) -> Samples:
    """So many samples of the tone played faster or slower, so that its pitch moves evenly from
    where a glide starts to its goal at the glide's end, and stands in between."""
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
    sound = held(sound, RATE, round(event.midi, 4), int(place[-1]) + 2)
    moved: Samples = np.interp(place, np.arange(len(sound)), sound, right=0.0)
    return moved


@lru_cache(maxsize=_MOST_TONES)
def _tone(tones: Tones, midi: float) -> Samples:
    return tones.tone(midi)


def _click(event: Event) -> Samples:
    """A soft knock: of the height of a spoken beat, or of a count."""
    return _knock(event.spoken or ("one" if event.one else "count"))


@lru_cache
def _knock(kind: str) -> Samples:
    import numpy as np

    time = np.arange(round(_CLICK["seconds"] * RATE)) / RATE
    rise = np.minimum(time / _CLICK["rise"], 1)
    fall = np.minimum((_CLICK["seconds"] - time) / _CLICK["fall"], 1)
    wave = np.sin(2 * np.pi * _CLICK["hertz"][kind] * time)
    knock: Samples = _CLICK["peak"] * rise * fall * np.exp(-time / _CLICK["decay"]) * wave
    return knock
