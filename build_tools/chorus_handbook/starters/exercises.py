"""Chooses the exercises of the stock (the handbook that comes with the program) that a new chorus
can sing.

An exercise whose voices the chorus has is taken in the nearest keys that its voices can sing. Any
other is first given to the voices that the chorus has (`revoiced`). What cannot be sung either way
is left out, with a `Reason`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Literal

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.model import Entry, FrontMatter
from chorus_handbook.music import read_score
from chorus_handbook.problems import has_errors
from chorus_handbook.starters.revoiced import Revoicer
from chorus_handbook.starters.texts import with_field
from chorus_handbook.voices.fitting import fit_keys

#: Why an exercise is left out: it has more parts than the chorus has voices; its lines would cross
#: or be inverted in these voices; there are no keys that its voices can sing; the check has a
#: notice about it; or it asks too much of young voices.
Reason = Literal["voices", "lines", "keys", "notices", "strong"]

#: The sections that texts of the stock mention, each with its name in the singular and plural.
_SECTIONS = {
    name: re.compile(rf"(?i)\b{name}(?:e?s)?\b") for name in ("soprano", "alto", "tenor", "bass")
}


@dataclass(frozen=True, slots=True)
class Chosen:
    """An exercise of the stock for a new handbook, or the reason why it is left out.

    text: the text of its file, in keys for the chorus.
    files: the content of the exercise's score file, keyed by its path below the handbook's folder;
        empty if it has none.
    reason: why it is left out; None if it is not.
    """

    slug: str
    title: str
    text: str = ""
    files: Mapping[str, bytes] = field(default_factory=dict)
    reason: Reason | None = None


def choose(
    files: Iterable[Path],
    root: Path,
    config: ChorusConfig,
    highest_impact: int,
    scratch: Path,
    *,
    everyone: bool = False,
) -> list[Chosen]:
    """For each of these files of exercises in the handbook `root`: the exercise for a new handbook
    with this `config`, or the reason why it is left out.

    highest_impact: exercises with a higher impact are left out.
    scratch: a folder for temporary files.
    everyone: whether every voice must sing in every key; there may then be fewer keys.

    Raises OSError.
    """
    assert config.chorus and config.vocabulary
    revoicer = Revoicer(root, config, scratch)
    return [_chosen(file, root, config, highest_impact, revoicer, everyone) for file in files]


def _chosen(
    file: Path,
    root: Path,
    config: ChorusConfig,
    highest_impact: int,
    revoicer: Revoicer,
    everyone: bool,
) -> Chosen:
    """The exercise in one file, or the reason why it is left out; the parameters are those of
    `choose`."""
    chorus = config.chorus
    assert chorus
    text, entry = _read(file)
    front = entry.front

    def left_out(reason: Reason) -> Chosen:
        return Chosen(file.stem, front.plain or front.title, reason=reason)

    if front.impact > highest_impact:
        return left_out("strong")
    files = {front.score: (root / front.score).read_bytes()} if front.score else {}
    chosen = Chosen(file.stem, front.plain or front.title, text, files)
    if not file.is_relative_to(root):  # an exercise of the starter, written for this chorus
        return _in_our_keys(chosen, config, root, everyone) or left_out("keys")
    fits = _has_sections(text, chorus) and _has_voices(front, chorus)
    if fits and not has_errors(read_score(entry.source, front, chorus, root)[1]):
        if found := _in_our_keys(chosen, config, root, everyone):
            return found
    elif revoicer.lacks_voices(entry, text):
        return left_out("voices")
    revoiced = revoicer.revoiced(entry, text)
    if revoiced is None:
        return left_out("keys" if fits else "lines")
    chosen = replace(chosen, text=revoiced[0], files=revoiced[1])
    return _in_our_keys(chosen, config, revoicer.scratch, everyone) or left_out("keys")


def _in_our_keys(chosen: Chosen, config: ChorusConfig, root: Path, everyone: bool) -> Chosen | None:
    """The exercise in keys that our voices can sing; None if there are none. An exercise without
    notes is returned as it is. Its score file must be in the folder `root`."""
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    path = f"handbook/exercises/{chosen.slug}.md"
    source, entry, problems = read_entry(chosen.text, chosen.slug, path)
    assert entry, problems
    front = entry.front
    score = read_score(source, front, chorus, root)[0].score
    if score is None or front.key_path is None:
        return chosen
    wide = vocabulary.soundings[front.sounding].widest
    keys = fit_keys(
        score, front.key_path, chorus, step_out=front.step_out, wide=wide, everyone=everyone
    )
    if keys is None:
        return None
    text = with_field(chosen.text, "keys", str(keys.path), after="tempo")
    if keys.step_out != front.step_out:
        text = with_field(text, "step_out", keys.step_out, after="keys")
    return replace(chosen, text=text)


@cache
def _read(file: Path) -> tuple[str, Entry]:
    """The text of a file of the stock, and the exercise in it."""
    text = file.read_text("utf-8")
    _, entry, problems = read_entry(text, file.stem, f"handbook/exercises/{file.name}")
    assert entry, problems
    return text, entry


def _has_sections(text: str, chorus: Chorus) -> bool:
    """Whether the chorus has all sections that the text mentions."""
    names = " ".join([*chorus.voices, *chorus.groups]).casefold()
    return all(section in names for section, spoken in _SECTIONS.items() if spoken.search(text))


def _has_voices(front: FrontMatter, chorus: Chorus) -> bool:
    """Whether the chorus has every voice or group that the field `voices` names."""
    named = [front.voices] if isinstance(front.voices, str) else front.voices or []
    return all(chorus.named(name) for name in named)
