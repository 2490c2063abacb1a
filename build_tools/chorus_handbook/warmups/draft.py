"""The text of a new warm-up, which its author need not write by hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import RoutineItem, WarmUpFields, WarmUpItem

#: What stays of an item from one week to the next; what became of it does not.
_STAYING = ("keys", "formation", "variation", "keep")


def draft(
    *,
    title: str,
    date: str,
    starts: str,
    minutes: float,
    items: Sequence[RoutineItem],
    further: Iterable[tuple[str, str]] = (),
) -> str:
    """The text of the file. `further` are fields of one line, by name."""
    lines = ["---", f"title: {in_yaml(title)}", f"date: {date}", f"starts: {starts}"]
    lines.append(f"minutes: {minutes:g}")
    lines += [f"{name}: {in_yaml(text)}" for name, text in further]
    lines.append("items:")
    for item in items:
        lines.append(f"  - exercise: {item.exercise}")
        for name in _STAYING:
            if value := getattr(item, name, None):
                lines.append(f"    {name}: {in_yaml(str(value))}")
    return "\n".join([*lines, "---", ""])


def items_of_last(warm_up: Text[WarmUpFields]) -> list[WarmUpItem]:
    """The items of a warm-up that the next one begins with: those that were sung, or all while
    nobody has said."""
    items = warm_up.front.items
    return [item for item in items if item.sung == "yes"] or list(items)
