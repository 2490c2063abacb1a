"""Attributes, in tags and in `{: ...}` behind a text: a few harmless ones may stand.

An id is more than a name: the theme's scripts look for ids that begin with two underscores, and
one such id from an author switches them off. Ids also come from headings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape

from chorus_handbook.entries.live import BEFORE
from chorus_handbook.source import clip

ALLOWED = frozenset(
    "align class colspan dir height id lang rowspan scope start title width".split()
)

_KEY = re.compile(r"""(?<![^\s={}"':])([^\s={}"':]+)\s*=\s*("[^"\n]*"?|'[^'\n]*'?|[^\s{}]*)""")
_ID = re.compile(r"(?<![^\s:{])#([^\s}]+)")
#: Names that pages cannot bear without a value on a heading; a value follows its = at once.
_BARE = re.compile(r"""(?<![\w.#-])(id|data-toc-label)(?![\w-]|=[^\s=}])""")
_RUNS = re.compile(r"(?<![^\s:{])(on[a-z]+)(?![^\s}])", re.IGNORECASE)
_HEADING = re.compile(
    rf"{BEFORE}#{{1,6}}([^\n]*)|{BEFORE}([^\n]+)(?=\n[ \t>]*(?:=+|-+)[ \t]*$)", re.MULTILINE
)
#: Signs whose text may vanish from a heading's id, and two underscores that may then come first.
_VANISHING = re.compile(r"[\[<{`]")
_TAKEN = re.compile(r"(?<!\w)_\W*_")
_TAG = re.compile(r"<[^<>]*>|!\[[^\[\]]*\](?:\([^()]*\)|\[[^\[\]]*\])?")
#: Plain words in bold: their marks are no part of an id.
_BOLD = re.compile(r"(?<![\w\\&;])__((?=\w)[^\W_](?:[\w ,.'-]*[^\W_])?)__(?![\w_])")
_HEADING_LOOKED_AT = 300

_IDS = "Ids that begin with two underscores belong to the pages' own scripts."

Fault = tuple[int, str, str]


def bad_attribute(name: str, value: str) -> tuple[str, str] | None:
    """Message and hint for an attribute that cannot stand."""
    bare = name.lower()
    if bare.startswith("on"):
        return (f'"{clip(name)}" would run a program.', "Delete it.")
    if bare not in ALLOWED:
        return (f'The attribute "{clip(name)}" is not allowed in a handbook.', "Delete it.")
    if bare == "id" and _is_taken(value):
        return (f"The id {clip(value)} is taken.", f"{_IDS} Choose another.")
    return None


def _is_taken(name: str) -> bool:
    return unescape(name).replace("\\", "").strip("\"' \t\n\xa0").startswith("__")


def does_harm(name: str, value: str) -> bool:
    """Whether an attribute is unsafe on any tag, and not only out of place."""
    bare = name.lower()
    taken = bare == "id" and bad_attribute(bare, value) is not None
    return taken or bare == "style" or bare.startswith("on")


def check_attributes(live: str) -> Iterator[Fault]:
    """Offset, message and hint of every attribute in braces that cannot stand, and of every
    heading whose id would be one of the theme's own."""
    start = 0
    for line in live.split("\n") if "{" in live else ():
        first, last = line.find("{"), line.rfind("}")
        if 0 <= first < last:
            yield from _check_list(line[first + 1 : last], start + first + 1)
            at = line.find("{", first + 1)
            while 0 <= at < last:  # within the values of the first
                following = line.find("{", at + 1)
                end = last if following < 0 else min(following, last)
                yield from _check_list(line[at + 1 : end], start + at + 1)
                at = following
        start += len(line) + 1
    if "_" in live or "&" in live:
        yield from _check_headings(live)


def _check_list(text: str, start: int) -> Iterator[Fault]:
    for key in _KEY.finditer(text):
        said = bad_attribute(key[1], key[2])
        if said:
            yield start + key.start(), *said
    for name in _ID.finditer(text):
        if _is_taken(name[1]):
            yield (
                start + name.start(),
                f"The id {clip(name[1])} is taken.",
                f"{_IDS} Choose another.",
            )
    for bare in _BARE.finditer(text):
        yield (
            start + bare.start(),
            f'The attribute "{bare[1]}" has no value.',
            "Write #name for an id, or delete it.",
        )
    if text.startswith(":"):
        for run in _RUNS.finditer(text):
            yield start + run.start(), f'"{clip(run[1])}" would run a program.', "Delete it."


def _check_headings(live: str) -> Iterator[Fault]:
    for found in _HEADING.finditer(live):
        text = (found[1] or found[2] or "")[:_HEADING_LOOKED_AT]
        words = unescape(_BOLD.sub(r"\1", text)).replace("\\", "")
        plain = re.sub(r"[^\w\s-]", "", words).strip()
        # A second heading "_" would become "__1".
        taken = plain.startswith("__") or plain == "_"
        if taken or (_VANISHING.search(text) and _TAKEN.search(_TAG.sub("", words))):
            yield (
                found.start(),
                f'The id of the heading "{clip(words)}" is taken.',
                f"{_IDS} Begin the heading with a letter.",
            )
