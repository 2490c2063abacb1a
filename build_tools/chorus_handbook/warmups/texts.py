"""Picks the warm-ups and routines out of all texts of a handbook."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP, RoutineFields, WarmUpFields

#: A warm-up or a routine as its author wrote it.
WrittenPlan = Text[WarmUpFields] | Text[RoutineFields]


def warm_ups_in(texts: Iterable[Text[Any]]) -> list[Text[WarmUpFields]]:
    """The warm-ups among `texts`, sorted by date and time."""
    found = [text for text in texts if text.kind == WARM_UP.name]
    return sorted(found, key=lambda text: (text.front.date, text.front.begins, text.page))


def plans_in(texts: Iterable[Text[Any]]) -> list[WrittenPlan]:
    """The warm-ups and routines among `texts`, in the order given."""
    return [text for text in texts if text.kind in (WARM_UP.name, ROUTINE.name)]
