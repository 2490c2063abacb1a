"""Reads chorus.yml (who sings) and vocabulary.yml (the words that exercises may use in fields).

`model` defines the fields of both files, `names` checks the names in them, and `sound_font` checks
the sound font that chorus.yml may name. `words` reads and checks the everyday words under which
people search. `file_format` has the number of the format in which the handbook's files are written.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from chorus_handbook import catalogue
from chorus_handbook.chorus import names, words
from chorus_handbook.chorus.file_format import newer_format
from chorus_handbook.chorus.model import Chorus, Model, Vocabulary
from chorus_handbook.chorus.sound_font import check_sound_font
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import Document, read_text, read_yaml, validate

__all__ = ["ChorusConfig", "read_chorus_config"]

Typed = TypeVar("Typed", bound=Model)


@dataclass(frozen=True, slots=True)
class ChorusConfig:
    """What chorus.yml and vocabulary.yml say.

    chorus, vocabulary: the content of the two files; None for a file with errors.
    words: the everyday words in the vocabulary with their places, which can be checked only when
        all pages are known.
    newer: whether the handbook is in a newer format than this program can read. Then nothing else
        is read.
    """

    chorus: Chorus | None = None
    vocabulary: Vocabulary | None = None
    words: tuple[words.EverydayWord, ...] = ()
    newer: bool = False


def read_chorus_config(root: Path) -> tuple[ChorusConfig, list[Problem]]:
    """Read chorus.yml and vocabulary.yml of the handbook in the folder `root`. Returns their
    content and the problems. As a side effect, the site's own words are in the language of the
    chorus from here on (`catalogue.use`)."""
    chorus, document, problems = _read(root, "chorus.yml", Chorus)
    newer = newer_format(document) if document else None
    if newer:
        return ChorusConfig(newer=True), [newer]
    if chorus and document:
        problems += names.check_chorus(chorus, document)
        problems += check_sound_font(root, chorus, document)
        chorus = names.without_reserved(chorus)
    catalogue.use(chorus.language if chorus else catalogue.ENGLISH)
    vocabulary, document, found = _read(root, "vocabulary.yml", Vocabulary)
    problems += found
    everyday_words: tuple[words.EverydayWord, ...] = ()
    if vocabulary and document:
        problems += names.check_vocabulary(vocabulary, document)
        problems += words.check_words_once(vocabulary, document)
        everyday_words = words.placed_words(vocabulary, document)
    return ChorusConfig(chorus, vocabulary, everyday_words), sorted(problems)


def _read(
    root: Path, name: str, model: type[Typed]
) -> tuple[Typed | None, Document | None, list[Problem]]:
    """Read and validate the file `name` of the handbook. Returns its content (None if anything is
    wrong), its YAML document with the places of fields, and the problems."""
    shown = f"{root.name}/{name}"
    text, problems = read_text(root / name, shown)
    if text is None:
        return None, None, problems
    document, found = read_yaml(text, Place(shown))
    problems += found
    if document is None:
        return None, None, problems
    typed, found = validate(model, document)
    return typed, document, problems + found
