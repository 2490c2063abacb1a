"""Everyday words: what people type who do not know what the handbook calls it.

vocabulary.yml gives each word the pages that it leads to, by their paths as links write them but
without ".md": exercises/slipway, views/after-singing, goals/tuning, voice-care. Which pages there
are is known only when everything else has been read; `check_words` is told then.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import Document, clip


@dataclass(frozen=True, slots=True)
class EverydayWord:
    """One word, and one page that it leads to, such as "goals/tuning.md". `place` is where the page
    is named."""

    text: str
    page: str
    place: Place


def placed_words(vocabulary: Vocabulary, document: Document) -> tuple[EverydayWord, ...]:
    """Every pair of a word and a page, in the order of the file."""
    return tuple(
        EverydayWord(text, f"{target}.md", document.place_of("words", text, index))
        for text, targets in vocabulary.words.items()
        for index, target in enumerate(targets)
    )


def check_words_once(vocabulary: Vocabulary, document: Document) -> Iterator[Problem]:
    """Words that differ in nothing but capitals and spaces: search knows no difference."""
    seen: dict[str, str] = {}
    for text in vocabulary.words:
        first = seen.setdefault(" ".join(text.casefold().split()), text)
        if first != text:
            yield Problem(
                document.name_of("words", text),
                "field-value",
                f'"{clip(text)}" and "{clip(first)}" are the same word to those who search.',
                "Put all pages into one list, after one of them.",
            )


def check_words(words: Sequence[EverydayWord], pages: Collection[str]) -> list[Problem]:
    """Words that lead to no page. `pages` are the paths of all pages, such as "goals/tuning.md"."""
    return [_nowhere(word, pages) for word in words if word.page not in pages]


def _nowhere(word: EverydayWord, pages: Collection[str]) -> Problem:
    wanted = word.page.removesuffix(".md")
    known = sorted(page.removesuffix(".md") for page in pages)
    by_name = [page for page in known if page.rpartition("/")[2] == wanted.rpartition("/")[2]]
    meant = f' Did you mean "{by_name[0]}"?' if by_name else did_you_mean(clip(wanted), known)
    return Problem(
        word.place,
        "link-broken",
        f'The word "{clip(word.text)}" leads to "{clip(wanted)}", and there is no such page.'
        f"{meant}",
        "Write exercises/, views/ or goals/ and a name, or the name of a page such as voice-care, "
        "without .md.",
    )


def words_by_page(vocabulary: Vocabulary) -> dict[str, list[str]]:
    """The words that lead to each page, by its path, in the order of the file."""
    found: dict[str, list[str]] = {}
    for text, targets in vocabulary.words.items():
        for target in dict.fromkeys(targets):
            found.setdefault(f"{target}.md", []).append(text)
    return found
