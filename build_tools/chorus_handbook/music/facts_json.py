"""Writes measured facts as JSON for other programs, and as a table for `handbook measure`."""

from __future__ import annotations

from typing import Any

from chorus_handbook.chorus.model import LEVEL_WORDS
from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.music.learning import measured_minutes
from chorus_handbook.music.score import LEADER
from chorus_handbook.pitch import customary_interval, interval_between, interval_name

_HEADINGS = ("voice", "lowest", "highest", "span", "notes", "syllables", "largest", "phrase")


def facts_as_json(facts: Facts) -> dict[str, Any]:
    """The facts as JSON data. Pitches are names such as "Bb3", lengths are in seconds (rounded to
    three decimals), sizes of intervals in semitones. The leader is the first voice; the others are
    in score order."""
    return {
        "slug": facts.slug,
        "tempo": _rounded(facts.tempo),
        "meter": facts.meter,
        "mode": facts.mode,
        "keys": [str(tonic) for tonic in facts.keys],
        "seconds_per_pass": _rounded(facts.seconds_per_pass),
        "length_seconds": _rounded(facts.length_seconds),
        "parts": facts.parts,
        "ambitus_semitones": facts.ambitus_semitones,
        "largest_interval": facts.largest_interval,
        "largest_interval_name": facts.largest_interval_name,
        "largest_leap": facts.largest_leap,
        "step_share": _rounded(facts.step_share),
        "longest_phrase_seconds": _rounded(facts.longest_phrase_seconds),
        "level": facts.difficulty.level,
        "difficulty": facts.difficulty.features,
        "known_minutes": measured_minutes(facts),
        "voices": [_voice_as_json(voice) for voice in _leader_first(facts)],
    }


def facts_as_text(facts: Facts) -> str:
    """The facts as text for the terminal: what concerns the whole exercise, then a table with a row
    for each voice."""
    keys = [str(tonic) for tonic in facts.keys]
    path = keys[0] if len(keys) == 1 else f"{', '.join(keys)} ({len(keys)} keys)"
    lines = [
        facts.slug,
        f"  keys      {path}, {facts.mode}",
        f"  time      {facts.meter}, {facts.tempo:g} beats a minute",
        f"  length    {facts.seconds_per_pass:.1f} s a pass, {facts.length_seconds:.1f} s in all",
        f"  parts     {facts.parts} at once",
        f"  motion    {_motion(facts)}",
        f"  level     {_level(facts)}",
        f"  known     {measured_minutes(facts):g} min, once it is known",
        f"  phrase    {facts.longest_phrase_seconds:.1f} s at the longest",
        "",
    ]
    rows = [_HEADINGS, *(_row(voice) for voice in _leader_first(facts))]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        lines.append(("  " + "  ".join(cells)).rstrip())
    return "\n".join(lines)


def _voice_as_json(voice: VoiceFacts) -> dict[str, Any]:
    lowest, highest = voice.lowest, voice.highest
    return {
        "voice": voice.voice,
        "lowest_midi": lowest.midi if lowest else None,
        "highest_midi": highest.midi if highest else None,
        "lowest": str(lowest) if lowest else None,
        "highest": str(highest) if highest else None,
        "ambitus_semitones": voice.ambitus_semitones,
        "notes": voice.notes,
        "syllables": voice.syllables,
        "spoken_beats": _rounded(voice.spoken_beats),
        "intervals": {str(size): count for size, count in voice.intervals.items()},
        "largest_interval": voice.largest_interval,
        "largest_leap": voice.largest_leap,
        "step_share": _rounded(voice.step_share),
        "longest_phrase_seconds": _rounded(voice.longest_phrase_seconds),
        "voiced_seconds": _rounded(voice.voiced_seconds),
    }


def _leader_first(facts: Facts) -> list[VoiceFacts]:
    """The facts of all voices, the leader's first."""
    return sorted(facts.voices, key=lambda voice: voice.voice != LEADER)


def _motion(facts: Facts) -> str:
    if facts.step_share is None:
        return "no melodic intervals"
    largest = facts.largest_interval_name or customary_interval(facts.largest_interval)
    return f"{facts.step_share:.0%} steps; largest interval {largest}"


def _level(facts: Facts) -> str:
    level = facts.difficulty.level
    features = ", ".join(f"{name} {value}" for name, value in facts.difficulty.features.items())
    return f"{level} ({LEVEL_WORDS[level]}): {features}"


def _row(voice: VoiceFacts) -> tuple[str, ...]:
    if voice.lowest is None or voice.highest is None:
        pitches = ("speaks", "", "")
    else:
        span = interval_name(*interval_between(voice.lowest, voice.highest))
        pitches = (str(voice.lowest), str(voice.highest), span)
    return (
        voice.voice,
        *pitches,
        str(voice.notes),
        str(voice.syllables),
        customary_interval(voice.largest_interval) if voice.intervals else "",
        f"{voice.longest_phrase_seconds:.1f} s",
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
