"""Shows the load of each voice in a warm-up, or in a month of them: for how long it sings, is near
its limits, and waits while others sing. There is a table for pages, and lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from markupsafe import Markup

from chorus_handbook.catalogue import _, listed
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.warmups.load import Loads, total_load
from chorus_handbook.warmups.running_order import MINUTE, SECOND

#: Voices that wait for less than this, in half-seconds, are not named as waiting longest.
_LONG: int = FACTS["load"]["long_wait"] * MINUTE


def load_table(loads: Loads, chorus: Chorus, days: Mapping[int, Loads] | None = None) -> Markup:
    """The load of each voice as an HTML table with a row for each voice; an empty text if nobody
    sings. `days` maps a day (its ordinal number) to the load of that day: from it the browser
    computes the load of the four weeks up to the day on which the page is read."""
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
    """The load of each voice on several days together, as an HTML table. `days` maps each day, by
    its ordinal number, to the loads on it."""
    return load_table(total_load(days.values()), chorus, days)


def _days(voice: str, days: Mapping[int, Loads]) -> str:
    """The load of a voice on each day as the text of an HTML attribute: "2026-11-05:480,12,90" for
    singing, near its limits, and waiting, in half-seconds."""
    return " ".join(
        f"{date.fromordinal(day).isoformat()}:{','.join(map(str, loads[voice]))}"
        for day, loads in sorted(days.items())
        if voice in loads
    )


def _waits(loads: Loads, chorus: Chorus) -> str:
    """Who waits longest, and for how long; empty if nobody waits for long. `longestWait` in
    `browser/finding_sentences.js` says the same."""
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
    """The load of each voice as a line for the terminal, in English."""
    for name, load in loads.items():
        parts = [f"sings {_time(load.singing)}"]
        parts += [f"{_time(load.near)} of it near its limits"] if load.near >= SECOND else []
        parts += [f"waits {_time(load.waiting)}"] if load.waiting >= SECOND else []
        yield f"{chorus.voices[name].label} {', '.join(parts)}"


def _time(half_seconds: int) -> str:
    """A time in words, such as "2 min 5 s"."""
    return words.seconds(half_seconds / SECOND)
