"""The field `round`: how one written line is sung as a round by several voices.

This validates the field by itself. `music/round.py` checks it against the notes and the chorus, and
writes out what each voice sings.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import Field, field_validator

from chorus_handbook.chorus.model import Line, Model, checked_by

#: How often a voice may sing the line of a round.
MOST_TIMES = 20

#: The field `after`: a whole number of bars or beats, such as "2 bars".
_AFTER = re.compile(r"([1-9]\d{0,2})\s+(bar|beat)s?")


def _read_distance(text: str) -> tuple[int, Literal["bar", "beat"]]:
    """Read the field `after`, such as "2 bars". Raises ValueError, with a message for the
    author."""
    found = _AFTER.fullmatch(text.strip())
    if not found:
        raise ValueError(
            f'"{text[:40]}" is not a whole number of bars or beats; '
            "write how many whole bars or beats later the next voice enters, such as "
            '"after: 2 bars" or "after: 3 beats"'
        )
    return int(found[1]), "bar" if found[2] == "bar" else "beat"


class Round(Model):
    """The fields of a round.

    The voices of the `entries` begin to sing the line one entry after another; `after` says how
    many bars or beats are between two entries, and `times` how often each voice sings the line.
    `end` says whether each voice stops when it has finished, or all stop together when the first
    has finished.
    """

    entries: Annotated[
        list[Line],
        Field(
            min_length=2,
            max_length=16,
            description="Who enters, in turn: voices, groups, or several that enter together, "
            'such as "alto+tenor".',
        ),
    ]
    after: Annotated[
        str,
        checked_by(_read_distance),
        Field(
            description='How long after one entry the next begins, such as "2 bars" or "3 beats".'
        ),
    ]
    times: Annotated[
        int, Field(ge=1, le=MOST_TIMES, description="How often each voice sings the line, 1 to 20.")
    ] = 2
    end: Annotated[
        Literal["each", "together"],
        Field(
            description="Whether each voice stops when it has finished, or all when the first has."
        ),
    ] = "each"

    @field_validator("entries", mode="before")
    @classmethod
    def _has_two_entries(cls, value: object) -> object:
        alone = isinstance(value, str) and re.fullmatch(r"[^\s,;]+", value.strip())
        if alone or (isinstance(value, list) and len(value) < 2):
            raise ValueError(
                "a round needs at least 2 entries; write them in the order in which they enter, "
                'such as "entries: [soprano, alto]"'
            )
        return value

    @property
    def distance(self) -> tuple[int, Literal["bar", "beat"]]:
        """How many bars or beats lie between one entry and the next."""
        return _read_distance(self.after)

    @property
    def names(self) -> tuple[tuple[str, ...], ...]:
        """The names of voices or groups in each entry; "A+B" gives two that enter together."""
        return tuple(
            tuple(" ".join(name.split()) for name in entry.split("+")) for entry in self.entries
        )
