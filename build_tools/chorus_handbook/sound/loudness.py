"""Estimates how loud singing, chords and single notes are, so that they can be made equally loud.

The estimate follows ITU-R BS.1770 and is in LUFS. It is computed from the power of the instrument's
tones (`tone_measures`) without computing samples; for the demo's exercises it is within 2 dB of
what a loudness meter shows. The same rule runs in the browser (`browser/loudness.js`). For notes of
the same pitch that begin together, amplitudes are added; for all others, powers. Silence does not
count.

Two factors make a sound softer or louder: the level of its event, which comes from dynamics, and
the level of its voice in the mix, which is lower for a voice in the background.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import log10

from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.levels import gain
from chorus_handbook.sound.schedule import Event

#: The power of each tone in its windows (`tone_measures.tone_power`), by its MIDI note number.
Powers = Mapping[int, Sequence[float]]

_LOUDNESS, _CLICK = FACTS["loudness"], FACTS["click"]
_TARGET: float = _LOUDNESS["target"]
#: The constant of BS.1770. With it, a sine of 1 kHz at full scale has -3.01 LUFS.
_OFFSET = -0.691
#: Seconds of a block of BS.1770: a click counts as if it lasted that long.
_BLOCK = 0.4
#: The energy of a click of level 1: a sine that dies away, less what its attack takes.
_CLICK_ENERGY: float = _CLICK["peak"] ** 2 * (_CLICK["decay"] / 4 - _CLICK["rise"] / 3)


def powers_of(index: bytes) -> Powers:
    """The powers in the index of an instrument (`instrument.Instrument`)."""
    return {one["midi"]: one["power"] for one in json.loads(index)["samples"]}


def loudness(events: Iterable[Event], levels: Mapping[str, float], powers: Powers) -> float | None:
    """The loudness of these events in LUFS; None if nothing sounds. `levels` maps voices to their
    levels in the mix; a voice that is not in it has 1."""
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


def factor_to_target(events: Sequence[Event], levels: Mapping[str, float], powers: Powers) -> float:
    """The factor by which to multiply the levels of these events so that they reach the loudness
    that player and tracks aim at (our choice, in `shared_facts`); 1 if nothing sounds. With clicks,
    whose peaks are far above their loudness, the factor is limited so that no peak is too high.
    `levels` maps voices to their levels in the mix; a voice that is not in it has 1."""
    found = loudness(events, levels, powers)
    if found is None:
        return 1.0
    clicks: dict[float, float] = defaultdict(float)
    for event in events:
        if event.midi is None:
            level = levels.get(event.voice, 1.0) if event.voice else 1.0
            clicks[round(event.at, 3)] += level * event.level
    loudest = _CLICK["peak"] * max(clicks.values(), default=0.0)
    factor = gain(_TARGET - found)
    return min(factor, _LOUDNESS["peak"] / loudest) if loudest else factor


def _mean_level(event: Event) -> float:
    """A steady level with about the same energy as the changing level of an event."""
    levels = [event.level, *(level for _, level in event.swell)]
    return float((sum(level**2 for level in levels) / len(levels)) ** 0.5)


def _energy(what: float | str, sounds: Sequence[tuple[float, float]], powers: Powers) -> float:
    """The energy of sounds of one pitch, or of clicks of one kind, that begin together: `sounds`
    are pairs of a level and a length in seconds."""
    level = sum(level for level, _ in sounds)
    if isinstance(what, str):
        return level**2 * _CLICK_ENERGY
    tone = powers[min(powers, key=lambda one: abs(one - what))]
    energy, before = 0.0, 0.0  # `before`: the energy of the tone up to the end of the last sound
    for own, length in sorted(sounds, key=lambda sound: sound[1]):
        until = _tone_energy(tone, length)
        energy += level**2 * (until - before)
        level, before = level - own, until
    return energy


def _tone_energy(tone: Sequence[float], length: float) -> float:
    """The energy of the first `length` seconds of a tone."""
    edges: list[float] = [0.0, *_LOUDNESS["windows"], float("inf")]
    windows = zip(tone, edges, edges[1:], strict=False)
    return sum(power * max(0.0, min(length, end) - start) for power, start, end in windows)


def _covered(spans: Iterable[tuple[float, float]]) -> float:
    """The seconds that lie within any of these spans."""
    seconds, reached = 0.0, float("-inf")
    for start, end in sorted(spans):
        seconds += max(0.0, end - max(start, reached))
        reached = max(reached, end)
    return seconds
