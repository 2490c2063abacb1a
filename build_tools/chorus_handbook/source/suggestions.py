"""What an author is told to write instead, in words that can be typed as they stand.

A suggestion that is wrong again costs more trust than none: texts get the quotes that YAML wants,
and a value is suggested only if it fits the field (`Fits`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from chorus_handbook.source.names import as_name, is_name

#: Whether a value would be right in the field in question.
Fits = Callable[[object], bool]

#: Longer suggestions would not be shown whole.
_LONGEST = 60
#: A text that YAML reads as it stands, in brackets too, and not as a number, a yes or a no.
_PLAIN = re.compile(r"[A-Za-z](?:[\w'()./ -]*[\w'()./-])?")
_WORDS_OF_YAML = frozenset({"true", "false", "null"})
_COMMA = re.compile(r"\s*[,;]\s*")
_BETWEEN_NAMES = re.compile(r"\s*(?:[,;&/]|\s\+\s|\band\b)\s*")


def quoted(text: str) -> str:
    """The text in quotes, so that YAML reads it back as it is."""
    if "\\" not in text and '"' not in text:
        return f'"{text}"'
    if "'" not in text:
        return f"'{text}'"
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def as_text(text: str) -> str:
    """The text as it would be written for YAML, in quotes only where they are needed."""
    plain = _PLAIN.fullmatch(text) and text.lower() not in _WORDS_OF_YAML
    return text if plain else quoted(text)


def in_brackets(value: object, fits: Fits) -> str | None:
    """The list that somebody meant who wrote its items without brackets; None when none fits."""
    text = " ".join(str(value).split())
    items = [item for item in _COMMA.split(text) if item]
    words = [item for item in _BETWEEN_NAMES.split(text) if item]
    for choice in (items, words, _names(words)):
        written = f"[{', '.join(map(as_text, choice))}]"
        if choice and fits(choice) and len(written) <= _LONGEST:
            return written
    return None


def one_of(value: object, fits: Fits) -> list[str]:
    """The names of which one was meant, where several stand in place of one; else empty."""
    items = _names(item for item in _BETWEEN_NAMES.split(str(value)) if item)
    return items if len(items) > 1 and all(fits(item) for item in items) else []


def _names(texts: Iterable[str]) -> list[str]:
    names = [as_name(text) for text in texts]
    return [*dict.fromkeys(names)] if all(is_name(name) for name in names) else []
