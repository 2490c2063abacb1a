"""The warm-ups and routines among all that authors wrote."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP, RoutineFields, WarmUpFields

#: A warm-up or a routine as it was written.
WrittenPlan = Text[WarmUpFields] | Text[RoutineFields]


def warm_ups_in(texts: Iterable[Text[Any]]) -> list[Text[WarmUpFields]]:
    """All warm-ups, in the order of their dates and times."""
    found = [text for text in texts if text.kind == WARM_UP.name]
    return sorted(found, key=lambda text: (text.front.date, text.front.begins, text.page))


def plans_in(texts: Iterable[Text[Any]]) -> list[WrittenPlan]:
    """All warm-ups and routines, in the order of the files."""
    return [text for text in texts if text.kind in (WARM_UP.name, ROUTINE.name)]
