"""Chooses the exercises of the stock that a chorus can sing, with their keys moved."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.model import FrontMatter, Source
from chorus_handbook.music import read_score
from chorus_handbook.problems import has_errors
from chorus_handbook.starters.texts import with_field
from chorus_handbook.voices.fitting import fit_keys

#: Why an exercise is left out: it needs voices that the chorus lacks, there are no keys that its
#: voices can sing, or it asks too much of young voices.
Reason = Literal["voices", "keys", "strong"]

#: The sections that texts of the stock mention, each with its name in the singular and plural.
_SECTIONS = {
    name: re.compile(rf"(?i)\b{name}(?:e?s)?\b") for name in ("soprano", "alto", "tenor", "bass")
}


@dataclass(frozen=True, slots=True)
class Chosen:
    """An exercise of the stock for a new handbook: its text, and the score file that it names, as
    a path below the handbook's folder; or the reason why it is left out."""

    slug: str
    title: str
    text: str = ""
    score: str | None = None
    reason: Reason | None = None


def choose(
    files: Iterable[Path], root: Path, config: ChorusConfig, highest_impact: int
) -> list[Chosen]:
    """For each of these files of exercises in the handbook `root`: the exercise for a new handbook
    with this `config`, or the reason why it is left out. Raises OSError."""
    assert config.chorus and config.vocabulary
    return [_chosen(file, root, config, highest_impact) for file in files]


def _chosen(file: Path, root: Path, config: ChorusConfig, highest_impact: int) -> Chosen:
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    text, source, front = _read(file)

    def left_out(reason: Reason) -> Chosen:
        return Chosen(file.stem, front.plain or front.title, reason=reason)

    if front.impact > highest_impact:
        return left_out("strong")
    ours = not file.is_relative_to(root)  # an exercise of the starter, written for this chorus
    if not (ours or _has_sections(text, chorus)) or not _has_voices(front, chorus):
        return left_out("voices")
    music, problems = read_score(source, front, chorus, root)
    if has_errors(problems):
        return left_out("voices")
    if music.score and front.key_path:
        wide = vocabulary.soundings[front.sounding].widest
        keys = fit_keys(music.score, front.key_path, chorus, step_out=front.step_out, wide=wide)
        if keys is None:
            return left_out("keys")
        text = with_field(text, "keys", str(keys.path), after="tempo")
        if keys.step_out != front.step_out:
            text = with_field(text, "step_out", keys.step_out, after="keys")
    return Chosen(file.stem, front.plain or front.title, text, front.score)


@cache
def _read(file: Path) -> tuple[str, Source, FrontMatter]:
    """Read a file of the stock: its text, the places of its parts, and its fields."""
    text = file.read_text("utf-8")
    source, entry, problems = read_entry(text, file.stem, f"handbook/exercises/{file.name}")
    assert entry, problems
    return text, source, entry.front


def _has_sections(text: str, chorus: Chorus) -> bool:
    """Whether the chorus has all sections that the text mentions."""
    names = " ".join([*chorus.voices, *chorus.groups]).casefold()
    return all(section in names for section, spoken in _SECTIONS.items() if spoken.search(text))


def _has_voices(front: FrontMatter, chorus: Chorus) -> bool:
    named = [front.voices] if isinstance(front.voices, str) else front.voices or []
    return all(chorus.named(name) for name in named)
