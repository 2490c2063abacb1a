"""The fields of the files of warm-ups and routines, as authors write them.

A warm-up is planned for one date; afterwards its author adds what was sung. A routine has no date:
a small group can sing it at any time. This module checks each field by itself. Whether the
exercises, keys and voices that the fields name exist is checked in `warmups`.
"""

from __future__ import annotations

import datetime
import re
from typing import Annotated, Literal

from pydantic import Field

from chorus_handbook.catalogue import N_
from chorus_handbook.chorus.model import Line, Model, Name, checked_by
from chorus_handbook.entries.keys import KeyPath, KeysText
from chorus_handbook.entries.kind import Kind
from chorus_handbook.pitch import Pitch
from chorus_handbook.source.names import as_name

Occasion = Literal["weekly", "short", "concert", "outdoor", "seated", "children", "online"]
Sung = Literal["yes", "cut", "skipped"]
Keep = Literal["opener", "closer"]

#: Minutes in a day.
DAY = 24 * 60
#: The most items of one plan (our choice).
_MOST_ITEMS = 30
#: Hours and minutes, such as 19:30.
_CLOCK = r"(\d{1,2}):([0-5]\d)"
#: When a voice is there: "from 19:40", "until 19:55", or both in this order.
_THERE = re.compile(rf"(?:from {_CLOCK})?\s*(?:until {_CLOCK})?")
#: A date and, after a hyphen, the rest of a file name.
_DATED = re.compile(r"(\d{4}-\d{2}-\d{2})-([a-z].*)")
#: The date that `dated_name` puts into a file name without one.
_EXAMPLE_DATE = "2026-09-03"


def read_date(text: str) -> datetime.date:
    """Read a date such as 2026-09-03. Raises ValueError, with a message for the author, if the text
    is not a date in this form or not in the calendar."""
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
            return datetime.date.fromisoformat(text)
    except ValueError:
        raise ValueError(f'"{text}" is not in the calendar; write a date that exists') from None
    raise ValueError(
        f'"{text}" cannot be read as a date; write year, month and day, such as "{_EXAMPLE_DATE}"'
    )


def read_clock(text: str) -> int:
    """Read a time of day such as 19:30; returns minutes since midnight. Raises ValueError, with a
    message for the author, if the text is not a time of day."""
    found = re.fullmatch(_CLOCK, text)
    if found is None or int(found[1]) > 23:
        raise ValueError(
            f'"{text}" cannot be read as a time of day; write hours and minutes, such as "19:30"'
        )
    return 60 * int(found[1]) + int(found[2])


def read_there(text: str) -> tuple[int | None, int | None]:
    """Read when a voice is there, such as "from 19:40 until 19:55" or only one half of that.

    Returns the two times in minutes since midnight: None for the first if the voice is there from
    the beginning, None for the second if it stays to the end. Raises ValueError, with a message for
    the author, if the text has neither time or another form.
    """
    found = _THERE.fullmatch(text)
    if found is None or not found[0].strip():
        raise ValueError(
            f'"{text}" cannot be read as the time when a voice is there; write '
            '"from 19:40", "until 19:55", or "from 19:40 until 19:55"'
        )
    times = [f"{hours}:{minutes}" for hours, minutes in (found.group(1, 2), found.group(3, 4))]
    # The pattern allows either half to be missing; its groups are then None, written "None:None".
    begins, ends = (None if "None" in time else read_clock(time) for time in times)
    return begins, ends


def read_note(text: str) -> Pitch:
    """Read a note such as F#4. Raises ValueError, with a message for the author, if the text is not
    a note with its octave."""
    try:
        return Pitch.parse(text)
    except ValueError:
        raise ValueError(
            f'"{text}" cannot be read as a note; write a letter and an octave, such as "F#4"'
        ) from None


NoteText = Annotated[str, checked_by(read_note)]


def dated_name(text: str) -> str:
    """The valid name of a warm-up's file that is nearest to `text`, without ".md": a date and
    words, such as 2026-09-03-first-night."""
    found = _DATED.fullmatch(text)
    if found and as_name(found[2]) == found[2]:
        return text
    day = re.search(r"\d{4}-\d{2}-\d{2}", text)
    rest = as_name(text.replace(day[0], "") if day else text)
    return f"{day[0] if day else _EXAMPLE_DATE}-{rest or 'warm-up'}"


class RoutineItem(Model):
    """One exercise of a routine."""

    exercise: Annotated[Name, Field(description="The name of its file in exercises/.")]
    keys: Annotated[
        KeysText | None,
        Field(
            description='In which of its keys it is sung, such as "D4 up to F4". Without this '
            "field, in all of them."
        ),
    ] = None
    minutes: Annotated[
        float | None,
        Field(
            gt=0,
            le=30,
            description="How many minutes it may take. Without this field, the time of the "
            "exercise is used.",
        ),
    ] = None
    formation: Annotated[
        Name | None, Field(description="How everyone stands, if not as the exercise says.")
    ] = None
    variation: Annotated[Line | None, Field(max_length=120, description="What is changed.")] = None
    note: Annotated[Line | None, Field(description="A note for whoever leads it.")] = None

    @property
    def key_path(self) -> KeyPath | None:
        """The field `keys`, read; None if the item has none, which means all keys."""
        return None if self.keys is None else KeyPath.parse(self.keys)


class WarmUpItem(RoutineItem):
    """One exercise of a warm-up: the plan, and afterwards what was sung."""

    by: Annotated[Line | None, Field(max_length=60, description="Who leads it.")] = None
    if_time: Annotated[
        int | None,
        Field(
            ge=1,
            le=_MOST_ITEMS,
            description="Sung only if there is time; the item with 1 is left out first.",
        ),
    ] = None
    at: Annotated[
        Annotated[str, checked_by(read_clock)] | None,
        Field(
            description="If a later block of the warm-up begins with it: at what time of day, "
            "such as 18:55."
        ),
    ] = None
    keep: Annotated[
        Keep | None,
        Field(description="Whether it stays for a season as the first item or the last one."),
    ] = None
    sung: Annotated[Sung | None, Field(description="Afterwards: was it sung?")] = None
    top: Annotated[NoteText | None, Field(description="Afterwards: the highest key reached.")] = (
        None
    )
    remark: Annotated[Line | None, Field(description="Afterwards: what to remember.")] = None


class LeadsInto(Model):
    """The music that is sung directly after a warm-up."""

    piece: Annotated[Line | None, Field(max_length=80, description="The first piece.")] = None
    first_chord: Annotated[
        dict[Name, NoteText],
        Field(description="Its first chord, one note for each voice: {bass: D3}."),
    ] = {}
    goals: Annotated[
        list[Name], Field(max_length=6, description="The goals that this music asks for.")
    ] = []


class Plan(Model):
    """The fields that warm-ups and routines share."""

    title: Annotated[Line, Field(max_length=80, description="The name on the page.")]
    present: Annotated[
        str | list[str] | None,
        Field(description="Which voices and groups sing. Without this field, all."),
    ] = None
    answers: Annotated[
        dict[Name, Line],
        Field(
            description="Notices that are not to be reported: the code of each, and your reason."
        ),
    ] = {}

    @property
    def voices_present(self) -> list[str]:
        """The voices and groups that the field `present` names; ["all"] if it is left out."""
        named = "all" if self.present is None else self.present
        return [named] if isinstance(named, str) else named


class RoutineFields(Plan):
    """The fields of a routine."""

    summary: Annotated[Line | None, Field(description="One line that says what it is.")] = None
    items: Annotated[
        list[RoutineItem],
        Field(min_length=1, max_length=_MOST_ITEMS, description="The exercises in their order."),
    ]


class WarmUpFields(Plan):
    """The fields of a warm-up."""

    date: Annotated[str, checked_by(read_date), Field(description="The day, such as 2026-09-03.")]
    starts: Annotated[
        str, checked_by(read_clock), Field(description="The time of day, such as 19:30.")
    ]
    minutes: Annotated[
        float,
        Field(gt=0, le=60, description="How many minutes it may take, including talk and changes."),
    ]
    kind: Annotated[Occasion, Field(description="The occasion.")] = "weekly"
    leader: Annotated[Line | None, Field(max_length=60, description="Who leads.")] = None
    pianist: Annotated[Line | None, Field(max_length=60, description="Who plays.")] = None
    room: Annotated[Line | None, Field(max_length=60, description="Where it is.")] = None
    leads_into: Annotated[
        LeadsInto | None, Field(description="The music that follows: piece, first_chord, goals.")
    ] = None
    few: Annotated[
        list[str],
        Field(description="Voices with only one or two singers, who get no line of their own."),
    ] = []
    there: Annotated[
        dict[Name, Annotated[str, checked_by(read_there)]],
        Field(description="Voices or groups that come late or leave: {bass: from 19:40}."),
    ] = {}
    at_home: Annotated[
        list[Name], Field(max_length=2, description="One or two exercises to practise at home.")
    ] = []
    join_in: Annotated[
        int | None,
        Field(
            ge=1,
            le=_MOST_ITEMS,
            description="The number of the item after which late singers join in.",
        ),
    ] = None
    items: Annotated[
        list[WarmUpItem],
        Field(min_length=1, max_length=_MOST_ITEMS, description="The exercises in their order."),
    ]

    @property
    def day(self) -> datetime.date:
        """The date of the warm-up, from the field `date`."""
        return read_date(self.date)

    @property
    def begins(self) -> int:
        """When it starts, in minutes since midnight."""
        return read_clock(self.starts)

    def minutes_after_start(self, time: int) -> int:
        """How many minutes after the start a time of day is (negative if it is earlier). `time` is
        in minutes since midnight. A warm-up may go on after midnight, so the time is taken to be on
        the same day, the day before or the day after: whichever is nearest to the start."""
        return (time - self.begins + DAY // 2) % DAY - DAY // 2

    def minutes_until(self, item: WarmUpItem) -> int | None:
        """How many minutes after the start the field `at` of an item is; None if it has none."""
        return None if item.at is None else self.minutes_after_start(read_clock(item.at))


WARM_UP = Kind("warm-up", WarmUpFields, "warmups", list_title=N_("Warm-ups"), as_name=dated_name)
ROUTINE = Kind("routine", RoutineFields, "routines", list_title=N_("Routines"))
