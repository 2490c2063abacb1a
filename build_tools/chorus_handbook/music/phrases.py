"""Joins the syllables of a score to the words of each phrase, for readers who know an exercise by
its words."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from itertools import groupby

from chorus_handbook.music.score import Note, Part, Score


def phrases_of(score: Score) -> tuple[str, ...]:
    """The words of every phrase (a block of the notation) in every voice and verse, in order. Equal
    phrases are listed once, and so is a word that is repeated."""
    found: dict[str, None] = {}
    for part in score.parts:
        for verse in range(score.verses):
            found.update(dict.fromkeys(_phrases(part, score, verse)))
    return tuple(found)


def _phrases(part: Part, score: Score, verse: int) -> Iterator[str]:
    starts = [block.onset for block in score.blocks[1:]]
    for _, notes in groupby(part.notes, lambda note: bisect_right(starts, note.onset)):
        words = [word for word, _ in groupby(words_of(notes, verse))]
        if words:
            yield " ".join(words)


def words_of(notes: Iterable[Note], verse: int) -> list[str]:
    """The words of one verse (counted from 0), made from the syllables of these notes."""
    words: list[str] = []
    joined = False
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
