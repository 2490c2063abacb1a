"""What is wrong within brackets: lists and groups of fields written on one line."""

from __future__ import annotations

import re

from chorus_handbook.source.faults import Fault, Slip

_REMARK = re.compile(r"(?:^|(?<=\s))#.*")


def inner_colon(fault: Fault) -> Slip | None:
    """A colon with nothing behind it before the bracket goes on: `{label:}`, `{goals:[a]}`."""
    if "unexpected ':'" not in fault.what:
        return None
    if fault.text[fault.column + 1 : fault.column + 2] in ("[", "{"):
        return fault.here(
            "A space is missing after this colon.", "Write a colon, a space and the value."
        )
    return fault.here(
        "A value is missing after this colon.",
        "Write a space and the value after it, or delete the name.",
    )


def bracket(fault: Fault) -> Slip | None:
    """A list or group in brackets that does not end, or has something missing within."""
    if "flow" not in fault.while_reading:
        return None
    closing = "}" if "mapping" in fault.while_reading or "'}'" in fault.what else "]"
    if "expected ','" in fault.what and fault.line == fault.since_line:
        return fault.here(
            f"A comma or the closing {closing} is missing here.",
            "Separate the items with commas. An item that contains a comma or colon needs quotes.",
        )
    if "node content" in fault.what and not fault.at_end:
        return fault.here(
            "Something is missing between these two characters.",
            "Delete the extra comma, or write what belongs before it.",
        )
    opened = _open_bracket(fault.lines, fault.line, fault.column)
    line, column = opened or (fault.since_line, fault.since_column)
    text = fault.lines[line] if line < len(fault.lines) else ""
    sign = text[column : column + 1] or "["
    remark = " What follows a # does not count." if _REMARK.search(text) else ""
    return Slip(
        line,
        column,
        f"The bracket {sign} that opens here is never closed.",
        f"Write {'}' if sign == '{' else ']'} at the end of the list.{remark}",
    )


def _open_bracket(lines: list[str], line: int, column: int) -> tuple[int, int] | None:
    """The last bracket before a spot that is still open there."""
    still_open: list[tuple[int, int]] = []
    for number, text in enumerate(lines[: line + 1]):
        counted = _REMARK.sub("", text[:column] if number == line else text)
        for found in re.finditer(r"[\[\]{}]", counted):
            if found[0] in "[{":
                still_open.append((number, found.start()))
            elif still_open:
                still_open.pop()
    return still_open[-1] if still_open else None
