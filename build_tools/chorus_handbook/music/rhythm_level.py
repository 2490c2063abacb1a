"""Computes from the notes how hard the rhythm of an exercise is to learn by ear, from 1 to 3.

This is one of the five features of the level of an exercise, which `level` computes. The rules are
our choice; `docs/writing/level.md` explains them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from chorus_handbook.music.score import LEADER, Note, Part, Score

Division = Literal["two", "three"]

#: From this many notes a second on, a run of notes is quick; then very quick.
_QUICK, _VERY_QUICK = 4.0, 6.5
#: A run has at least this many steps from note to note.
_RUN = 4
#: The possible rounding error of sums of lengths, in seconds.
_PRECISION = 1e-6
#: Beats of silence after which singers have to count.
_SILENCE = 2
#: Numbers of beats in a bar that are multiples of neither two nor three.
_UNEVEN = (5, 7)


def rhythm(score: Score, clock: Callable[[Fraction], float]) -> int:
    """The level of the rhythm, 1 to 3. `clock` turns a moment of the score into seconds."""
    sung = (part for part in score.parts if part.voice != LEADER and part.notes)
    # Voices that sing the same written line are judged once.
    parts = list({part.shares or part.voice: part for part in sung}.values())
    speed = max((_speed(part.notes, clock) for part in parts), default=0.0)
    # In free meter there are no beats that notes could be compared with.
    lines = [part.notes for part in parts] if not score.meter.free else []
    divided = [_divisions(notes, score) for notes in lines]
    if (
        speed >= _VERY_QUICK
        or _changes_meter(score)
        or _differ(divided)
        or any(_three_over_two(notes, score) for notes in lines)
    ):
        return 3
    if (
        speed >= _QUICK
        or score.meter.beats in _UNEVEN
        or any(len(set(own.values())) > 1 for own in divided)
        or any(_syncopated(note, score) for notes in lines for note in notes)
        or _counts_through_silence(score, parts)
    ):
        return 2
    return 1


def _speed(notes: Sequence[Note], clock: Callable[[Fraction], float]) -> float:
    """Notes a second in the quickest run."""
    times = [clock(note.onset) for note in notes]
    runs = (later - first for first, later in zip(times, times[_RUN:], strict=False))
    return max((_RUN / (seconds - _PRECISION) for seconds in runs), default=0.0)


def _changes_meter(score: Score) -> bool:
    """Whether bars differ in length. The first and the last bar may differ, and so may two bars
    that together fill one bar, with a repeat sign between them."""
    bar = score.meter.bar
    bars = [end - start for start, end in pairwise(score.bar_starts)][1:]  # neither first nor last
    return not score.meter.free and any(
        length != bar and length + before != bar and length + after != bar
        for before, length, after in zip(bars, bars[1:], bars[2:], strict=False)
    )


def _divisions(notes: Sequence[Note], score: Score) -> dict[Fraction, Division]:
    """Whether a line divides each of its beats in two or in three. The result maps the start of a
    beat (in quarters) to its division; beats that are not divided are left out."""
    divisions: dict[Fraction, Division] = {}
    for note in notes:
        beat, passed = _beat(note.onset, score)
        if passed.denominator % 3 == 0:
            divisions[beat] = "three"
        elif passed.denominator % 2 == 0:
            divisions.setdefault(beat, "two")
    return divisions


def _differ(divided: Sequence[dict[Fraction, Division]]) -> bool:
    """Whether one line divides a beat in two while another divides it in three."""
    beats: dict[Fraction, Division] = {}
    return any(
        beats.setdefault(beat, division) != division
        for own in divided
        for beat, division in own.items()
    )


def _three_over_two(notes: Sequence[Note], score: Score) -> bool:
    """Whether three equal notes fill two beats."""
    length = score.meter.beat * 2 / 3
    return any(
        first.duration == second.duration == third.duration == length
        and first.end == second.onset
        and second.end == third.onset
        and _beat(first.onset, score)[1] == 0
        for first, second, third in zip(notes, notes[1:], notes[2:], strict=False)
    )


def _syncopated(note: Note, score: Score) -> bool:
    """Whether a note begins off the beat and sounds on into the next beat."""
    beat, passed = _beat(note.onset, score)
    return passed != 0 and note.end > beat + score.meter.beat


def _counts_through_silence(score: Score, parts: Sequence[Part]) -> bool:
    """Whether it happens more than once that all voices are silent for some beats, after which a
    voice enters on another note than its last."""
    until = Fraction(0)  # when the last of the notes so far ends
    entries = set()
    for note in sorted((n for p in score.parts for n in p.notes), key=lambda note: note.onset):
        if until and note.onset - until >= _SILENCE * score.meter.beat:
            entries.add(note.onset)
        until = max(until, note.end)
    return any(
        sum(b.onset in entries and b.degree != a.degree for a, b in pairwise(part.sung)) > 1
        for part in parts
    )


def _beat(moment: Fraction, score: Score) -> tuple[Fraction, Fraction]:
    """The start (in quarters) of the beat that contains `moment`, and the fraction of that beat
    that has passed, from 0 to 1."""
    bar = bisect_right(score.bar_starts, moment) - 1
    start = score.bar_starts[bar] if bar > 0 else score.pickup
    passed = (moment - start) % score.meter.beat
    return moment - passed, passed / score.meter.beat
