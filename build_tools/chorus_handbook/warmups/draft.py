"""Writes the file of a new warm-up, for `handbook plan` and `handbook suggest`."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import takewhile

from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import RoutineItem, WarmUpFields, WarmUpItem

#: The value of a field: a text of one line, a number, or texts in a list or a mapping.
Value = str | int | Sequence[str] | Mapping[str, str | Sequence[str]]
#: The fields of an item that are copied into the next warm-up. The fields of the log (sung, top,
#: remark) are not, because they belong to one date.
COPIED = ("keys", "minutes", "formation", "variation", "keep")


def draft(
    *,
    title: str,
    date: str,
    starts: str,
    minutes: float,
    items: Sequence[RoutineItem],
    further: Iterable[tuple[str, Value]] = (),
    item_fields: Sequence[str] = COPIED,
) -> str:
    """The text of a new warm-up's file, as YAML front matter between two lines "---".

    `minutes` is how long the warm-up may take. `further` holds more fields as pairs of a name and a
    value, which are written after the others and before the items. `item_fields` names the fields
    of each item that are written, if it has them.
    """
    lines = ["---", f"title: {in_yaml(title)}", f"date: {date}", f"starts: {starts}"]
    lines.append(f"minutes: {minutes:g}")
    lines += [f"{name}: {_on_one_line(value)}" for name, value in further]
    lines.append("items:")
    for item in items:
        lines.append(f"  - exercise: {item.exercise}")
        for name in item_fields:
            if value := getattr(item, name, None):
                number = isinstance(value, (int, float))
                lines.append(f"    {name}: {f'{value:g}' if number else in_yaml(str(value))}")
    return "\n".join([*lines, "---", ""])


def _on_one_line(value: Value) -> str:
    """A value as YAML on one line. Texts inside a list or a mapping stand in quotation marks, so
    that no comma or bracket in them is read as YAML."""
    if isinstance(value, str):
        return in_yaml(value)
    return json.dumps(value, ensure_ascii=False)


def items_of_last(warm_up: Text[WarmUpFields]) -> list[WarmUpItem]:
    """The items of the last warm-up that are copied into the next one: those that were sung, or all
    of them if the log says of none that it was. A later block, such as right before a concert, is
    not copied."""
    items = [*takewhile(lambda item: item.at is None, warm_up.front.items)]
    return [item for item in items if item.sung == "yes"] or items
