"""How loud a run is, told from its events: what singing, chords and single notes are brought to.

An estimate of the loudness of ITU-R BS.1770, in LUFS, from the power of the instrument's tones
(`tone_power`) without computing a sample; within 2 dB of a meter's over the demo's exercises. It
runs in the browser as well (`browser/loudness.js`). Notes of one pitch that begin together add up
as one sound does, all others as their powers do. Silence does not count, as in the meter.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import log10

from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.levels import gain
from chorus_handbook.sound.schedule import Event

#: Weighted mean squares of a tone in its windows, by the MIDI number of the tone.
Powers = Mapping[int, Sequence[float]]

_LOUDNESS, _CLICK = FACTS["loudness"], FACTS["click"]
_TARGET: float = _LOUDNESS["target"]
#: The recommendation's constant, with which a sine at full scale comes to -3.01 LUFS at 1 kHz.
_OFFSET = -0.691
#: Seconds of the recommendation's blocks: a click is heard as if it lasted so long.
_BLOCK = 0.4
#: The energy of a knock of level 1: its sine dies away, less what its rise takes.
_CLICK_ENERGY: float = _CLICK["peak"] ** 2 * (_CLICK["decay"] / 4 - _CLICK["rise"] / 3)


def powers_of(index: bytes) -> Powers:
    """The powers that an instrument's index lists."""
    return {one["midi"]: one["power"] for one in json.loads(index)["samples"]}


def loudness(events: Iterable[Event], levels: Mapping[str, float], powers: Powers) -> float | None:
    """The loudness of these events, in LUFS, each voice at its level (1 where it has none); None
    where nothing sounds."""
    together: dict[tuple[float, float | str], list[tuple[float, float]]] = defaultdict(list)
    spans: list[tuple[float, float]] = []
    for event in events:
        level = levels.get(event.voice, 1.0) if event.voice else 1.0
        if level <= 0:
            continue
        what = event.spoken or "" if event.midi is None else round(event.midi, 3)
        length = _BLOCK if event.midi is None else event.length
        together[round(event.at, 3), what].append((level * _mean_level(event), length))
        spans.append((event.at, event.at + length))
    energy = sum(_energy(what, sounds, powers) for (_, what), sounds in together.items())
    seconds = _covered(spans)
    return _OFFSET + 10 * log10(energy / seconds) if energy and seconds else None


def brought(events: Sequence[Event], levels: Mapping[str, float], powers: Powers) -> float:
    """The factor that brings these events to the loudness that all have; 1 where none sounds.
    Knocks, whose peaks stand far above their loudness, are brought to the loudest peak at most."""
    found = loudness(events, levels, powers)
    if found is None:
        return 1.0
    knocks: dict[float, float] = defaultdict(float)
    for event in events:
        if event.midi is None:
            level = levels.get(event.voice, 1.0) if event.voice else 1.0
            knocks[round(event.at, 3)] += level * event.level
    loudest = _CLICK["peak"] * max(knocks.values(), default=0.0)
    brought_to = gain(_TARGET - found)
    return min(brought_to, _LOUDNESS["peak"] / loudest) if loudest else brought_to


def _mean_level(event: Event) -> float:
    """The level of an event whose level moves, as one that stands."""
    levels = [event.level, *(level for _, level in event.swell)]
    return float((sum(level**2 for level in levels) / len(levels)) ** 0.5)


def _energy(what: float | str, sounds: Sequence[tuple[float, float]], powers: Powers) -> float:
    """The energy of sounds of one pitch, or knocks of one kind, that begin together: pairs of a
    level and a length."""
    level = sum(level for level, _ in sounds)
    if isinstance(what, str):
        return level**2 * _CLICK_ENERGY
    tone = powers[min(powers, key=lambda one: abs(one - what))]
    energy, before = 0.0, 0.0
    for own, length in sorted(sounds, key=lambda sound: sound[1]):
        until = _tone_energy(tone, length)
        energy += level**2 * (until - before)
        level, before = level - own, until
    return energy


def _tone_energy(tone: Sequence[float], length: float) -> float:
    """The energy of so many seconds of a tone."""
    edges: list[float] = [0.0, *_LOUDNESS["windows"], float("inf")]
    windows = zip(tone, edges, edges[1:], strict=False)
    return sum(power * max(0.0, min(length, end) - start) for power, start, end in windows)


def _covered(spans: Iterable[tuple[float, float]]) -> float:
    """Seconds that lie in any of these spans."""
    seconds, reached = 0.0, float("-inf")
    for start, end in sorted(spans):
        seconds += max(0.0, end - max(start, reached))
        reached = max(reached, end)
    return seconds
