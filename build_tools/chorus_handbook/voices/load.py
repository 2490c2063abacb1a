"""Computes the load of an exercise: how long each voice sings, and how often its vocal folds close.

Both are sums over all keys that the voice can sing, and all repeats. They are the "time dose" and
the "cycle dose" of Titze, Svec and Popolo 2003 (JSLHR 46:919); the cycle dose is the fundamental
frequency summed over the time of singing. They are for comparing plans (the second only within one
voice) and say nothing about what is safe.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

from chorus_handbook.music.score import Note, Part, Score
from chorus_handbook.pitch import hertz
from chorus_handbook.voices.ladder import Ladder, Rung
from chorus_handbook.voices.ladder_data import table

if TYPE_CHECKING:
    from chorus_handbook.music.measure import Clock


@dataclass(frozen=True, slots=True)
class Load:
    """What one voice does from the first key to the last that it sings: `keys` it sings, voiced
    `seconds`, and `cycles` of its vocal folds."""

    keys: int
    seconds: float
    cycles: float


def load(score: Score, ladder: Ladder, *, tempo: float, passes: int) -> Mapping[str, Load]:
    """The load of every voice on a ladder, in the chorus's order. `tempo` counts beats a minute,
    `passes` how often the exercise is sung in each key. When a voice divides, its highest notes
    count. In keys that it sings in another octave, it is measured in that octave."""
    from chorus_handbook.music.measure import clock_of

    clock = clock_of(score, tempo)
    parts = {part.voice: part for part in score.parts}
    found = {}
    for name in ladder.rungs[0].voices if ladder.rungs else ():
        part = parts[name]
        sung = [rung for rung in ladder.rungs if name not in rung.out]
        seconds = sum((clock(note.end) - clock(note.onset) for note in part.sung), 0.0)
        cycles = _cycles(part, score, sung, clock) if sung else 0.0
        found[name] = Load(len(sung), passes * len(sung) * seconds, passes * cycles)
    return found


def _cycles(part: Part, score: Score, sung: Sequence[Rung], clock: Clock) -> float:
    """The cycles of one pass in each of these keys, added up. They are computed in the first key;
    in another key all frequencies differ by the same factor."""
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
    """The cycles of one note at the pitch `midi`, which may glide to the pitch `following`."""
    begin, end = clock(note.onset), clock(note.end)
    if note.glide_at is None or following is None:
        return hertz(midi) * (end - begin)
    glide = clock(note.onset + note.glide_at)  # when the glide begins
    return hertz(midi) * (glide - begin) + glide_cycles(midi, following, end - glide)


def glide_cycles(start: float, end: float, seconds: float) -> float:
    """Cycles of a glide whose pitch moves evenly between two MIDI numbers: the integral of an
    exponential."""
    first, last = hertz(start), hertz(end)
    return seconds * (first if first == last else (last - first) / log(last / first))


def loads_as_json(loads: Mapping[str, Load]) -> list[dict[str, object]]:
    """One object for each voice: the number of keys it sings, and, in all of them together, its
    voiced seconds and vocal-fold cycles."""
    return [
        {
            "voice": name,
            "keys": one.keys,
            "voiced_seconds": round(one.seconds, 3),
            "cycles": round(one.cycles),
        }
        for name, one in loads.items()
    ]


def loads_as_text(loads: Mapping[str, Load]) -> str:
    """A table for the terminal, with a note that the figures are no limits; empty if nobody
    sings."""
    if not loads:
        return ""
    rows: list[Sequence[str]] = [("voice", "keys", "voiced", "cycles")]
    for name, one in loads.items():
        minutes, seconds = divmod(round(one.seconds), 60)
        rows.append((name, str(one.keys), f"{minutes}:{seconds:02}", f"{one.cycles:,.0f}"))
    return (
        f"{table(rows)}\n"
        "  Voiced minutes compare exercises; cycles of the vocal folds only within one\n"
        "  voice. Neither is a limit of what is safe."
    )
