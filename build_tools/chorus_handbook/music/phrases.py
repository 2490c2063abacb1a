"""Puts the syllables of a score together into words, so that search can find an exercise by its
words."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from itertools import groupby

from chorus_handbook.music.score import Note, Part, Score


def phrases_of(score: Score) -> tuple[str, ...]:
    """The words of every phrase, in every voice and verse, in order. A phrase is a block of the
    notation: lines that sound together. A phrase that occurs again is not listed again, and a word
    that is sung several times in a row is given once: "la la la" gives "la"."""
    found: dict[str, None] = {}  # the phrases are the keys, so that each occurs once, in order
    for part in score.parts:
        for verse in range(score.verses):
            found.update(dict.fromkeys(_phrases(part, score, verse)))
    return tuple(found)


def _phrases(part: Part, score: Score, verse: int) -> Iterator[str]:
    """The words of one verse of a part, block by block; blocks without words are left out."""
    later_starts = [block.onset for block in score.blocks[1:]]
    for _, notes in groupby(part.notes, lambda note: bisect_right(later_starts, note.onset)):
        words = [word for word, _ in groupby(words_of(notes, verse))]  # without repeats in a row
        if words:
            yield " ".join(words)


def words_of(notes: Iterable[Note], verse: int) -> list[str]:
    """The words of one verse (counted from 0), made from the syllables of these notes."""
    words: list[str] = []
    joined = False  # whether the last syllable ended with a hyphen, so that its word goes on
    for note in notes:
        syllable = note.syllables[verse] if verse < len(note.syllables) else None
        if syllable is None:
            continue
        if joined:
            words[-1] += syllable.text
        else:
            words.append(syllable.text)
        joined = syllable.joined
    return words
