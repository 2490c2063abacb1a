"""Adds the conditions for voices that come late to the integer program of a suggestion.

A voice is warmed up gradually whenever it comes: it begins with something gentle, and the next item
is not quick, high or hard for it. Source: common practice.
"""

from __future__ import annotations

from chorus_handbook.warmups.clock import END
from chorus_handbook.warmups.running_order import MINUTE
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.candidates import arrivals, longest
from chorus_handbook.warmups.suggesting.choices import POINT, Choices
from chorus_handbook.warmups.suggesting.demands import (
    asks_much,
    begins_gently,
    is_open_line,
    sings,
)
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.worth import is_new

#: How long a late voice sings, in half-seconds, if there is time: this long, or half of what is
#: left of the warm-up when it comes (our choice).
_ENOUGH = 4 * MINUTE


def add_arrivals(choices: Choices) -> None:
    """Add these conditions: the first item in which a late voice sings lets it begin gently, and
    the second neither asks much of it nor is a new one in parts. That there is a second item is
    worth points, and so are enough time to sing, and an open line among the later items."""
    program = choices.program
    for voice, number in arrivals(choices.phases):
        comfortable = choices.ranges[voice]
        sung = [
            one for one in choices.all if one.candidate.phase >= number and sings(voice, one.item)
        ]
        lengths = {one.column: one.item.singing for one in sung}
        left = longest(choices.request) - END - choices.phases[number].begins
        lacking = program.amount(weights.LATE_LACKS, high=_ENOUGH)
        program.at_least(lengths | {lacking: 1}, min(_ENOUGH, left // 2))
        lines = [one.column for one in sung if one.stage != Stage.CLOSE and is_open_line(one.item)]
        program.implies([program.amount(POINT * weights.LATE_LINE)], lines)
        again = program.amount(POINT * weights.LATE_AGAIN)
        program.at_least(dict.fromkeys((one.column for one in sung), 1) | {again: -2}, 0)
        gentle = {one.column for one in sung if begins_gently(voice, comfortable, one.item)}
        for place in range(len(choices.places)):
            here = [one for one in sung if one.place == place]
            before = [one.column for one in sung if one.place < place]
            if other := [one.column for one in here if one.column not in gentle]:
                program.implies(other, [column for column in before if column in gentle])
            much = [
                one.column
                for one in here
                if asks_much(voice, comfortable, one.item, quick=one.candidate.quick)
                or (is_new(one.candidate) and not one.item.unison)
            ]
            if much:
                program.at_least(dict.fromkeys(before, 1) | dict.fromkeys(much, -2), 0)
