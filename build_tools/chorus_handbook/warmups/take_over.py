"""Writes what was sung, as the music stand saved it, into the file of its warm-up.

The music stand is the full-screen view from which a warm-up is led. It saves for each item whether
it was sung, the highest key and a remark: the *log*. Only those lines of the warm-up's file change;
everything else stays as its author wrote it, comments included. If any item does not fit, nothing
is written.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from chorus_handbook.chorus.model import Line, Model, Name
from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import Sung, WarmUpFields
from chorus_handbook.source import clip

#: The fields of an item that belong to the log.
_LOG = ("sung", "top", "remark")


class SungItem(Model):
    """The log of one item."""

    exercise: Annotated[Name, Field(description="The name of its file in exercises/.")]
    sung: Annotated[Sung, Field(description="yes, cut or skipped.")]
    top: Annotated[str | None, Field(description="The highest key reached.")] = None
    remark: Annotated[Line | None, Field(description="What to remember.")] = None


class SungFile(Model):
    """The file that the music stand saves."""

    warm_up: Annotated[str, Field(max_length=90, description="The name of the warm-up's file.")]
    chorus: Annotated[Line, Field(description="The name of the chorus.")]
    items: Annotated[list[SungItem], Field(max_length=30, description="The items in order.")]


class TakeOverError(Exception):
    """The saved log does not fit the warm-up's file; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class _Block:
    """The lines of an item in its file: the numbers, from 0, of its first line and of the line
    after its last."""

    begin: int
    end: int


def taken_over(text: str, warm_up: Text[WarmUpFields], saved: SungFile, *, replace: bool) -> str:
    """The text of the warm-up's file with the log of `saved` written into it.

    `text` is the file as it is, `warm_up` what was read from it. `replace` overwrites a log that
    the file has already. Raises TakeOverError if the items are not those of the warm-up in the same
    order, if an item has a different log and `replace` is false, or if two items share a line.
    """
    items = warm_up.front.items
    if [item.exercise for item in items] != [item.exercise for item in saved.items]:
        raise TakeOverError(
            f"the items of {warm_up.source.path} are no longer those that were sung: "
            f"{clip(', '.join(item.exercise for item in saved.items))}. Put the items of the file "
            'into that order, or write "sung: yes" under each item by hand'
        )
    lines = text.split("\n")
    blocks = _blocks(lines, warm_up, len(items))
    for index in reversed(
        range(len(items))
    ):  # from the end, so that the line numbers of earlier items stay true
        item, block, one = items[index], blocks[index], saved.items[index]
        before = (item.sung, item.top, item.remark)
        if item.sung and not replace and before != (one.sung, one.top, one.remark):
            raise TakeOverError(
                f'"{item.exercise}" already has a different log in {warm_up.source.path}; to '
                "overwrite it, run the command again with --replace"
            )
        kept = [line for line in lines[block.begin : block.end] if not _is_log(line)]
        indent = " " * (warm_up.source.place_of("items", index).column - 1)
        values = ((name, getattr(one, name)) for name in _LOG)
        log = [f"{indent}{name}: {in_yaml(value)}" for name, value in values if value]
        lines[block.begin : block.end] = [*kept, *log]
    return "\n".join(lines)


def _is_log(line: str) -> bool:
    """Whether a line of the file has a field of the log."""
    return re.match(rf"\s+(?:{'|'.join(_LOG)})\s*:", line) is not None


def _blocks(lines: list[str], warm_up: Text[WarmUpFields], count: int) -> list[_Block]:
    """The lines of each item, in order. Raises TakeOverError if two items share a line or an item
    is written in braces."""
    begins = [warm_up.source.place_of("items", index).line - 1 for index in range(count)]
    if len(set(begins)) < count or any("{" in lines[begin] for begin in begins):
        raise TakeOverError(
            f"some items of {warm_up.source.path} share a line or are written in braces. Write "
            'each on lines of its own, or write "sung: yes" under each item by hand'
        )
    blocks = []
    for begin, following in zip(begins, [*begins[1:], len(lines)], strict=True):
        end = begin + 1
        # The lines of an item are indented. Blank lines and comments after its last field are not
        # part of it.
        for number in range(begin + 1, following):
            if lines[number].startswith(" ") and not lines[number].lstrip().startswith(("#", "-")):
                end = number + 1
            elif lines[number].strip() and not lines[number].lstrip().startswith("#"):
                break
        blocks.append(_Block(begin, end))
    return blocks
