"""Everyday words: words under which readers search for a page that calls the thing by another name.

The field `words` of vocabulary.yml lists, for each such word, the pages that it leads to by their
paths without ".md", such as exercises/slipway, goals/tuning or voice-care. Which pages exist is
known only when everything else has been read, so `check_words` runs last.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import Document, clip


@dataclass(frozen=True, slots=True)
class EverydayWord:
    """One word (`text`) and the path of one page that it leads to, such as "goals/tuning.md".
    `place` is where vocabulary.yml names that page."""

    text: str
    page: str
    place: Place


def placed_words(vocabulary: Vocabulary, document: Document) -> tuple[EverydayWord, ...]:
    """Every pair of a word and a page, in the order of vocabulary.yml, which is the `document`."""
    return tuple(
        EverydayWord(text, f"{target}.md", document.place_of("words", text, index))
        for text, targets in vocabulary.words.items()
        for index, target in enumerate(targets)
    )


def check_words_once(vocabulary: Vocabulary, document: Document) -> Iterator[Problem]:
    """Yields an error for each word that differs from an earlier word only in capitals and spaces,
    because search makes no difference between the two. The `document` is vocabulary.yml."""
    seen: dict[str, str] = {}
    for text in vocabulary.words:
        first = seen.setdefault(" ".join(text.casefold().split()), text)
        if first != text:
            yield Problem(
                document.name_of("words", text),
                "field-value",
                f'"{clip(text)}" and "{clip(first)}" are the same word for the search, which '
                "ignores capitals and extra spaces.",
                f'Delete "{clip(text)}", and add its pages to the list of "{clip(first)}".',
            )


def check_words(words: Sequence[EverydayWord], pages: Collection[str]) -> list[Problem]:
    """One problem for each word that leads to a page that does not exist. `pages` has the paths of
    all pages, such as "goals/tuning.md"."""
    return [_nowhere(word, pages) for word in words if word.page not in pages]


def _nowhere(word: EverydayWord, pages: Collection[str]) -> Problem:
    """The problem of a word that leads to a page that does not exist. The message suggests a page
    with a similar name."""
    wanted = word.page.removesuffix(".md")
    known = sorted(page.removesuffix(".md") for page in pages)
    by_name = [page for page in known if page.rpartition("/")[2] == wanted.rpartition("/")[2]]
    meant = f' Did you mean "{by_name[0]}"?' if by_name else did_you_mean(clip(wanted), known)
    return Problem(
        word.place,
        "link-broken",
        f'The everyday word "{clip(word.text)}" leads to "{clip(wanted)}", but there is no such '
        f"page.{meant}",
        'Write the path of a page without ".md", such as "exercises/slipway", "goals/tuning" or '
        '"voice-care".',
    )


def words_by_page(vocabulary: Vocabulary) -> dict[str, list[str]]:
    """Maps the path of each page, such as "goals/tuning.md", to the words that lead to it, in the
    order of vocabulary.yml."""
    words: dict[str, list[str]] = {}
    for text, targets in vocabulary.words.items():
        for target in dict.fromkeys(targets):
            words.setdefault(f"{target}.md", []).append(text)
    return words
