"""A run as samples: what the player sounds, computed in one piece, for tracks.

Every note is a tone at its very pitch, so that only glides are played faster or slower. Notes end
as the player ends them, clicks are the player's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from chorus_handbook.sound.schedule import Event, Glide
from chorus_handbook.sound.sustain import held
from chorus_handbook.sound.tone import RATE

if TYPE_CHECKING:
    from chorus_handbook.sound.instrument import Tones
    from chorus_handbook.sound.tone import Samples

#: Seconds over which a note fades when it has ended, as in the player.
RELEASE = 0.05
#: The loudest sample of a run.
PEAK = 0.9
_CLICKS = {"low": 620.0, "middle": 880.0, "high": 1240.0, None: 1050.0}
_CLICK_SECONDS, _CLICK_PEAK = 0.06, 0.4
#: Tones kept while a run is computed: about a megabyte each.
_MOST_TONES = 64


def render(
    events: Iterable[Event], seconds: float, levels: Mapping[str, float], tones: Tones
) -> Samples:
    """The samples of a run of so many seconds, from -1 to 1, `RATE` a second, and the end of its
    last note. `levels` gives each voice's, 1 where it has none; chords between keys and the clicks
    of a count-in are nobody's. Raises what `tones` raise."""
    import numpy as np

    # A long run is millions of samples: they are kept in half the room, and scaled where they are.
    whole = np.zeros(int((seconds + RELEASE) * RATE) + 1, dtype=np.float32)
    for event in events:
        level = event.level * (levels.get(event.voice, 1.0) if event.voice else 1.0)
        if level == 0:
            continue
        sound = _click(event.spoken) if event.midi is None else _note(event, tones)
        start = round(event.at * RATE)
        end = min(start + len(sound), len(whole))
        whole[start:end] += level * sound[: end - start]
    loudest = max(float(whole.max()), -float(whole.min()))
    if loudest:
        whole *= PEAK / loudest
    return whole


def _note(event: Event, tones: Tones) -> Samples:
    """A note from its attack to its end, faded."""
    import numpy as np

    assert event.midi is not None
    midi = round(event.midi, 4)
    length, fade = round(event.length * RATE), round(RELEASE * RATE)
    if event.glide is None:
        piece = held(_tone(tones, midi), RATE, midi, length + fade).copy()
    else:
        piece = _glided(event, event.glide, _tone(tones, midi), length + fade)
    ending = piece[length:]
    ending *= 1 - np.arange(1, len(ending) + 1) / fade
    return piece


def _glided(event: Event, glide: Glide, sound: Samples, count: int) -> Samples:
    """So many samples of the tone played faster or slower, so that its pitch moves evenly from
    where the glide starts to its goal at the end of the note."""
    import numpy as np

    assert event.midi is not None
    time = np.arange(count) / RATE
    start, end = glide.start - event.at, glide.end - event.at
    way = np.clip((time - start) / max(end - start, 1 / RATE), 0, 1)
    rate = 2 ** (way * (glide.midi - event.midi) / 12)
    # The position in the tone is the integral of its rate; by trapezoids, exact to 1e-9 here.
    place = np.concatenate(([0.0], np.cumsum((rate[1:] + rate[:-1]) / 2)))
    sound = held(sound, RATE, round(event.midi, 4), int(place[-1]) + 2)
    moved: Samples = np.interp(place, np.arange(len(sound)), sound, right=0.0)
    return moved


@lru_cache(maxsize=_MOST_TONES)
def _tone(tones: Tones, midi: float) -> Samples:
    return tones.tone(midi)


@lru_cache
def _click(spoken: str | None) -> Samples:
    """A soft knock: of the height of a spoken beat, or of a count-in."""
    import numpy as np

    time = np.arange(round(_CLICK_SECONDS * RATE)) / RATE
    shape = np.minimum(time / 0.002, 1) * np.minimum((_CLICK_SECONDS - time) / 0.01, 1)
    knock: Samples = shape * np.exp(-time / 0.012) * np.sin(2 * np.pi * _CLICKS[spoken] * time)
    return _CLICK_PEAK * knock
