"""Suggests what to write instead of a wrong value, in a form that can be copied into the file.

Texts get the quotes that YAML needs. A value is suggested only if it would be valid in its field
(which `Fits` tests), because a wrong suggestion is worse than none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from chorus_handbook.source.names import as_name, is_name

#: A function that says whether a value would be valid in the field in question.
Fits = Callable[[object], bool]

#: The most characters of a suggestion. A longer one would be cut in messages.
_LONGEST = 60
#: A text that needs no quotes in YAML, even in brackets, unless it is one of `_WORDS_OF_YAML`.
_PLAIN = re.compile(r"[A-Za-z](?:[\w'()./ -]*[\w'()./-])?")
_WORDS_OF_YAML = frozenset({"true", "false", "null"})
_COMMA = re.compile(r"\s*[,;]\s*")
#: What authors write between names when they forget to write a list.
_BETWEEN_NAMES = re.compile(r"\s*(?:[,;&/]|\s\+\s|\band\b)\s*")


def quoted(text: str) -> str:
    """The text in quotes, so that YAML reads it as exactly this text."""
    if "\\" not in text and '"' not in text:
        return f'"{text}"'
    if "'" not in text:
        return f"'{text}'"
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def as_text(text: str) -> str:
    """The text as a YAML value, with quotes only if they are needed."""
    plain = _PLAIN.fullmatch(text) and text.lower() not in _WORDS_OF_YAML
    return text if plain else quoted(text)


def in_brackets(value: object, fits: Fits) -> str | None:
    """For a value where a list is needed: the list that was probably meant, such as "[a, b]"; None
    when no such list would be valid."""
    text = " ".join(str(value).split())
    items = [item for item in _COMMA.split(text) if item]
    words = [item for item in _BETWEEN_NAMES.split(text) if item]
    for choice in (items, words, _names(words)):
        written = f"[{', '.join(map(as_text, choice))}]"
        if choice and fits(choice) and len(written) <= _LONGEST:
            return written
    return None


def one_of(value: object, fits: Fits) -> list[str]:
    """For a text where one name is needed: the names in it, if there are several and each would be
    valid; otherwise an empty list."""
    items = _names(item for item in _BETWEEN_NAMES.split(str(value)) if item)
    return items if len(items) > 1 and all(fits(item) for item in items) else []


def _names(texts: Iterable[str]) -> list[str]:
    """For each text the nearest valid name, each name once. An empty list if one of the texts has
    no letter that a name could be made of."""
    names = [as_name(text) for text in texts]
    return [*dict.fromkeys(names)] if all(is_name(name) for name in names) else []
