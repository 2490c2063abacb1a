"""Puts measured values into words for messages: intervals, beats, lengths of time, lists."""

from __future__ import annotations

from collections.abc import Iterable, Sized
from fractions import Fraction
from math import ceil

from chorus_handbook.music.score import Meter
from chorus_handbook.pitch import (
    Pitch,
    customary_interval,
    interval_between,
    interval_name,
    interval_words,
)


def listed(items: Iterable[str]) -> str:
    """Names (at least one) joined for a sentence: "alto", "alto and bass", "soprano, alto and
    bass"."""
    *rest, last = items
    return f"{', '.join(rest)} and {last}" if rest else last


def verb(names: Sized, one: str, more: str) -> str:
    """The form of a verb for these names: `one`, such as "has", for a single name, otherwise
    `more`, such as "have"."""
    return one if len(names) == 1 else more


def counted(count: int, noun: str) -> str:
    """A number and what is counted: "1 note", "5 notes"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def beats(length: Fraction, meter: Meter) -> str:
    """A length in quarters as beats of the meter: "3 beats", "1 beat", "2 1/2 beats"."""
    whole, part = divmod(length / meter.beat, 1)
    number = f"{whole} {part}" if whole and part else f"{part or whole}"
    return f"{number} beat" if whole + part <= 1 and whole + part > 0 else f"{number} beats"


def seconds(length: float) -> str:
    """A length of time, given in seconds and rounded up to a whole second: "45 s", "2 min", "3 min
    20 s"."""
    minutes, rest = divmod(ceil(length), 60)
    parts = [f"{minutes} min"] if minutes else []
    if rest or not minutes:
        parts.append(f"{rest} s")
    return " ".join(parts)


def to_answer(code: str) -> str:
    """What to write to answer the notice with this code, for the end of a hint: the notice is then
    not reported any more."""
    return f'add "{code}: your reason", indented, below "answers:"'


def interval(name: str) -> str:
    """The words for a named interval, with an article: for "P5", "a fifth"; for "A4", "an augmented
    fourth"."""
    words = interval_words(name)
    return f"{'an' if words.startswith(('aug', 'oct', 'el')) else 'a'} {words}"


def interval_of(semitones: int) -> str:
    """The words for an interval by its size in semitones: for 7, "a fifth"."""
    return interval(customary_interval(semitones))


def span(low: Pitch, high: Pitch) -> str:
    """The words for the interval between two written notes: "a minor sixth"."""
    return interval(interval_name(*interval_between(low, high)))
