"""Suggests what a person may have meant by a name that is not known."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping

#: More suggestions would be a list to search in (our choice).
_MOST_SUGGESTIONS = 3


def nearest(name: str, known: Mapping[str, Iterable[str]]) -> list[str]:
    """The keys of `known` that are most like `name`, three at most. Each key is compared by itself
    and by the further names that it is mapped to.

    The keys that share most words with `name` are returned. If none shares a word, those that are
    spelled nearly like `name` as a whole are returned.
    """
    words = _words(name)
    texts = {key: [key, *more] for key, more in known.items()}
    found = {key: _similarity(words, " ".join(texts[key])) for key in texts}
    best = max(found.values(), default=0)
    if best:
        return [key for key, count in found.items() if count == best][:_MOST_SUGGESTIONS]
    spellings = {text.casefold(): key for key in texts for text in texts[key]}
    close = difflib.get_close_matches(name.casefold(), spellings, n=_MOST_SUGGESTIONS, cutoff=0.6)
    return list(dict.fromkeys(spellings[text] for text in close))


def or_one_of(names: Iterable[str]) -> str:
    """`' Did you mean "a", "b" or "c"?'`; empty if there are no names."""
    *others, last = [f'"{name}"' for name in names] or [""]
    if not last:
        return ""
    return f" Did you mean {', '.join(others)}{' or ' if others else ''}{last}?"


def _words(text: str) -> list[str]:
    """The words of a text in small letters, without those of one or two letters, such as "on" and
    "a", which are in most names."""
    return [word for word in re.findall(r"\w+", text.casefold()) if len(word) > 2]


def _similarity(words: Iterable[str], text: str) -> int:
    """How many points `words` get for their likeness to the words of `text`: two for each that
    begins one of them, one for each that is spelled nearly like one of them."""
    there = _words(text)
    return sum(
        2
        if any(other.startswith(word) for other in there)
        else bool(difflib.get_close_matches(word, there, n=1, cutoff=0.8))
        for word in words
    )
