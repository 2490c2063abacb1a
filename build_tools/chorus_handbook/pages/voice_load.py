"""Shows how the load of a warm-up, or of a month of them, falls on the voices: a table for pages,
and lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from markupsafe import Markup

from chorus_handbook.catalogue import _, listed
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.warmups.load import Loads, total_load
from chorus_handbook.warmups.running_order import MINUTE, SECOND

#: Who waits for less than this is not named (our choice).
_LONG = 2 * MINUTE


def load_table(loads: Loads, chorus: Chorus, days: Mapping[int, Loads] | None = None) -> Markup:
    """A table of the voices; empty if nobody sings. With `days`, each voice's row has what falls on
    each day, from which the browser adds up the weeks that end today."""
    if not any(load.singing for load in loads.values()):
        return Markup()
    rows = [
        {
            "voice": chorus.voices[name].label,
            "times": [_time(amount) for amount in loads[name]],
            "days": _days(name, days or {}),
        }
        for name in chorus.voices
        if name in loads
    ]
    return render("voice_load.html", rows=rows, waits=_waits(loads, chorus))


def month_table(days: Mapping[int, Loads], chorus: Chorus) -> Markup:
    """The table of some days together."""
    return load_table(total_load(days.values()), chorus, days)


def _days(voice: str, days: Mapping[int, Loads]) -> str:
    """What falls on each day, as an HTML attribute has it: "2026-11-05:480,12,90"."""
    return " ".join(
        f"{date.fromordinal(day).isoformat()}:{','.join(map(str, loads[voice]))}"
        for day, loads in sorted(days.items())
        if voice in loads
    )


def _waits(loads: Loads, chorus: Chorus) -> str:
    """Who waits longest, and for how long; empty if nobody waits for long."""
    longest = max(load.waiting for load in loads.values())
    if longest < _LONG:
        return ""
    voices = [chorus.voices[name].label for name, load in loads.items() if load.waiting == longest]
    # Translators: {voices} such as "Alto and Bass", {time} such as "11 min".
    return _(
        "Waits longest while others sing: {voices}, for {time}.",
        voices=listed(voices),
        time=_time(longest),
    )


def load_lines(loads: Loads, chorus: Chorus) -> Iterator[str]:
    """The same as lines for the terminal, which are in English."""
    for name, load in loads.items():
        parts = [f"sings {_time(load.singing)}"]
        parts += [f"{_time(load.near)} of it near its limits"] if load.near >= SECOND else []
        parts += [f"waits {_time(load.waiting)}"] if load.waiting >= SECOND else []
        yield f"{chorus.voices[name].label} {', '.join(parts)}"


def _time(half_seconds: int) -> str:
    return words.seconds(half_seconds / SECOND)
