"""Computes the load of an exercise: how long each voice sings, how much of that time near its
limits, how often its vocal folds close, and how long it waits while others sing.

The time and the number of closures are sums over all keys that the voice can sing, and all repeats:
the "time dose" and the "cycle dose" of Titze, Svec and Popolo 2003 (JSLHR 46:919). The cycle dose
is the fundamental frequency summed over the time of singing. Both doses are for comparing plans
(the cycle dose only within one voice) and say nothing about what is safe. A voice is near its
limits on every note outside of what is comfortable for it, even hummed or glided over (our choice).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.score import Note, Part, Score
from chorus_handbook.pitch import hertz
from chorus_handbook.voices.ladder import Ladder, Rung
from chorus_handbook.voices.ladder_data import table

if TYPE_CHECKING:
    from chorus_handbook.music.measure import Clock


@dataclass(frozen=True, slots=True)
class Load:
    """What one voice does in all keys that it sings.

    keys: the number of these keys.
    seconds: for how long it sings, in all of them together.
    cycles: how often its vocal folds close in that time.
    near: for each key of the ladder, for how many seconds the voice sings outside its comfortable
        range; 0 in keys that it cannot sing.
    waits: for how many seconds of one key others sing and this voice does not.
    """

    keys: int
    seconds: float
    cycles: float
    near: tuple[float, ...] = ()
    waits: float = 0.0


def loads_of(
    score: Score, ladder: Ladder, chorus: Chorus, *, tempo: float, passes: int
) -> Mapping[str, Load]:
    """The load of every voice on a ladder, in the chorus's order. `tempo` counts beats a minute,
    `passes` how often the exercise is sung in each key. When a voice divides, its highest notes
    count. In keys that it sings in another octave, it is measured in that octave."""
    from chorus_handbook.music.measure import clock_of

    clock = clock_of(score, tempo)
    parts = {part.voice: part for part in score.parts}
    anyone = _seconds_together(
        (clock(note.onset), clock(note.end))
        for part in score.parts
        if part.voice in chorus.voices
        for note in part.sung
    )
    loads = {}
    for name in ladder.rungs[0].voices if ladder.rungs else ():
        part = parts[name]
        sung = [rung for rung in ladder.rungs if name not in rung.out]
        seconds = sum((clock(note.end) - clock(note.onset) for note in part.sung), 0.0)
        cycles = _cycles(part, score, sung, clock) if sung else 0.0
        near = _near(part, score, ladder, chorus, clock)
        loads[name] = Load(
            *(len(sung), passes * len(sung) * seconds, passes * cycles),
            near=tuple(passes * one for one in near),
            waits=passes * max(0.0, anyone - seconds),
        )
    return loads


def _seconds_together(spans: Iterable[tuple[float, float]]) -> float:
    """For how long at least one of these spans of time lasts."""
    total, until = 0.0, 0.0
    for begin, end in sorted(spans):
        total += max(0.0, end - max(begin, until))
        until = max(until, end)
    return total


def _near(
    part: Part, score: Score, ladder: Ladder, chorus: Chorus, clock: Clock
) -> Iterator[float]:
    """For how many seconds of one pass in each key a voice is outside of what is comfortable."""
    from chorus_handbook.music.measure import sounding_pitches

    first, comfort = ladder.rungs[0].tonic, chorus.voices[part.voice].comfortable
    notes = [
        (note, [one.midi for one in sounding_pitches(note, part, first, score.mode)])
        for note in part.sung
    ]
    pieces: list[tuple[Sequence[int], Sequence[int], float]] = []
    for (note, midis), (_, following) in zip(notes, [*notes[1:], notes[-1]], strict=True):
        leaves = note.duration if note.glide_at is None else note.glide_at
        pieces.append((midis, midis, clock(note.onset + leaves) - clock(note.onset)))
        pieces.append((midis, following, clock(note.end) - clock(note.onset + leaves)))
    for rung in ladder.rungs:
        step = rung.voices[part.voice]
        moved = rung.tonic.midi - first.midi + 12 * step.octaves
        low, high = comfort.low - moved, comfort.high - moved
        yield sum(
            seconds * _share_outside((min(start), min(end)), (max(start), max(end)), low, high)
            for start, end, seconds in pieces
            if part.voice not in rung.out and seconds
        )


def _share_outside(lowest: tuple[int, int], highest: tuple[int, int], low: int, high: int) -> float:
    """The part (0 to 1) of a note's time in which it is outside of a range. Its lowest and its
    highest pitch move evenly between two MIDI numbers; most notes have one pitch that stays."""
    below = _share_below(*lowest, low)
    above = _share_below(-highest[0], -highest[1], -high)
    return min(1.0, below + above)


def _share_below(start: int, end: int, low: int) -> float:
    """The part (0 to 1) of its time in which a pitch is below `low` while it moves evenly from
    `start` to `end` (all MIDI numbers)."""
    if start == end:
        return float(start < low)
    return min(1.0, max(0.0, (low - min(start, end)) / abs(end - start)))


def _cycles(part: Part, score: Score, sung: Sequence[Rung], clock: Clock) -> float:
    """The cycles of a part that is sung once in each of the keys `sung`, added up. They are
    computed in the first of these keys; in another key, all frequencies differ by the same
    factor."""
    from chorus_handbook.music.measure import sounding_pitch

    tonic, notes = sung[0].tonic, part.sung
    midis = [sounding_pitch(note, part, tonic, score.mode).midi for note in notes]
    once = sum(
        _cycles_of(note, midi, following, clock)
        for note, midi, following in zip(notes, midis, [*midis[1:], None], strict=True)
    )
    keys = (rung.tonic.midi + 12 * rung.voices[part.voice].octaves for rung in sung)
    return once * sum(map(hertz, keys)) / hertz(tonic.midi)


def _cycles_of(note: Note, midi: int, following: int | None, clock: Clock) -> float:
    """The cycles of one note at the pitch `midi` (a MIDI number), which may glide to the pitch
    `following`."""
    begin, end = clock(note.onset), clock(note.end)
    if note.glide_at is None or following is None:
        return hertz(midi) * (end - begin)
    glide = clock(note.onset + note.glide_at)  # when the glide begins
    return hertz(midi) * (glide - begin) + glide_cycles(midi, following, end - glide)


def glide_cycles(start: float, end: float, seconds: float) -> float:
    """The cycles of a glide that lasts `seconds` and whose pitch moves evenly from one MIDI number
    to another. Frequency grows exponentially with pitch; this is its integral over time."""
    first, last = hertz(start), hertz(end)
    return seconds * (first if first == last else (last - first) / log(last / first))


def loads_as_json(loads: Mapping[str, Load]) -> list[dict[str, object]]:
    """One object for each voice: the number of keys it sings, and for all of these together, the
    seconds that it sings and the cycles of its vocal folds."""
    return [
        {
            "voice": name,
            "keys": load.keys,
            "voiced_seconds": round(load.seconds, 3),
            "cycles": round(load.cycles),
        }
        for name, load in loads.items()
    ]


def loads_as_text(loads: Mapping[str, Load]) -> str:
    """A table for the terminal, and the remark that its figures are not limits; empty if nobody
    sings."""
    if not loads:
        return ""
    rows: list[Sequence[str]] = [("voice", "keys", "voiced", "cycles")]
    for name, load in loads.items():
        minutes, seconds = divmod(round(load.seconds), 60)
        rows.append((name, str(load.keys), f"{minutes}:{seconds:02}", f"{load.cycles:,.0f}"))
    return (
        f"{table(rows)}\n"
        "  Compare exercises by the minutes that are voiced; compare them by the cycles\n"
        "  of the vocal folds only within one voice. Neither says what is safe."
    )
