"""What authors are told to write instead, in a form that can be typed as it stands.

A wrong suggestion is worse than none: texts get the quotes that YAML needs, and a value is
suggested only if it is valid in its field (`Fits`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from chorus_handbook.source.names import as_name, is_name

#: Tells whether a value would be valid in the field in question.
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
    """The list that the author probably meant who left out the brackets; None when none fits."""
    text = " ".join(str(value).split())
    items = [item for item in _COMMA.split(text) if item]
    words = [item for item in _BETWEEN_NAMES.split(text) if item]
    for choice in (items, words, _names(words)):
        written = f"[{', '.join(map(as_text, choice))}]"
        if choice and fits(choice) and len(written) <= _LONGEST:
            return written
    return None


def one_of(value: object, fits: Fits) -> list[str]:
    """The names in a text that should be one name, if it has several and each fits; else empty."""
    items = _names(item for item in _BETWEEN_NAMES.split(str(value)) if item)
    return items if len(items) > 1 and all(fits(item) for item in items) else []


def _names(texts: Iterable[str]) -> list[str]:
    names = [as_name(text) for text in texts]
    return [*dict.fromkeys(names)] if all(is_name(name) for name in names) else []
