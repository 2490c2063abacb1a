"""Reads music in three notations into one kind of score, and measures it.

Each notation has a reader in a package of its own: `degrees`, `abc` and `musicxml`. A reader first
reads the voices as they are written (`written`); from these it makes a score with modules that are
the same for all notations. `unfold` writes out the repeats, `performance` and `bars` put notes in
time, `singers` says who sings them, and `ensemble` makes the `score`. In a round the voices sing
one line one after another; `round` makes the score from that line.

A score has no key: its pitches are degrees of a scale, so the same score serves every key (`keys`
decides whether a key is called F sharp or G flat). `measure` measures what the exercise asks of
each voice; `facts` explains the figures.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import FenceNotation, FrontMatter, Notation, Source
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

#: A reader: takes the notation, the chorus and the names of the exercise's voices, and returns the
#: score and the problems. A text with problems may give a score without parts, for some checks.
Reader = Callable[[Notation, Chorus, Sequence[str]], tuple[Score | None, list[Problem]]]


def reader_of(notation: FenceNotation) -> Reader:
    """The function that reads notation written in a fence. (Score files are read by
    `read_musicxml`.)"""
    if notation == "abc":
        from chorus_handbook.music.abc import read_abc

        return read_abc
    from chorus_handbook.music.degrees import read_degrees

    return read_degrees


@dataclass(frozen=True, slots=True)
class Music:
    """The music of one exercise.

    score: None when the exercise has no music, or its music has problems.
    draft: for music with problems, a score without parts, with which bars, lengths and syllables
        can still be checked. There is never both a score and a draft.
    facts: the measurements; None unless there is a score and the exercise's fields are valid.
    """

    score: Score | None = None
    draft: Score | None = None
    facts: Facts | None = None


def read_music(
    source: Source, front: FrontMatter | None, chorus: Chorus, root: Path
) -> tuple[Music, list[Problem]]:
    """Read and measure the music of one exercise of the handbook in the folder `root`. Returns the
    music and its problems."""
    music, problems = read_score(source, front, chorus, root)
    if music.score and front and front.tempo and front.key_path:
        from chorus_handbook.music.keys import spell_keys
        from chorus_handbook.music.measure import measure

        facts = measure(
            source.slug,
            music.score,
            tempo=front.tempo,
            keys=spell_keys(music.score, front.key_path),
            passes=front.passes,
            lead_in=front.lead_in,
        )
        music = replace(music, facts=facts)
    return music, problems


def read_score(
    source: Source, front: FrontMatter | None, chorus: Chorus, root: Path
) -> tuple[Music, list[Problem]]:
    """Read the music without measuring it. `front` is None when the exercise's fields have errors;
    the music is read all the same, so that all problems of a file are reported at once.
    """
    from chorus_handbook.music.round import sing_round, without_notes

    notation, round_field = source.notation, front.round if front else None
    if notation is None:
        return Music(), [without_notes(source)] if round_field else []
    if notation.kind == "score":
        from chorus_handbook.music.musicxml.reader import read_musicxml

        score, problems = read_musicxml(notation, chorus, _voices(front, chorus), root=root)
    else:
        score, problems = reader_of(notation.kind)(notation, chorus, _voices(front, chorus))
    if round_field:
        line = score
        score, round_problems = sing_round(line, round_field, source, chorus)
        problems += round_problems
        if line and score is None:
            return Music(draft=replace(line, parts=())), problems
    if score is None:
        return Music(), problems
    if not score.parts:
        return Music(draft=score), problems
    return Music(score), problems


def _voices(front: FrontMatter | None, chorus: Chorus) -> tuple[str, ...]:
    """The voices that `all` in the notation stands for: those that the exercise's field `voices`
    names, or else those of its round, or else the whole chorus."""
    field = front.voices if front else None
    if field is None and front and front.round:
        from chorus_handbook.music.round import voices_of

        return voices_of(front.round, chorus) or tuple(chorus.voices)
    names = [field] if isinstance(field, str) else field or ["all"]
    # Unknown names are skipped here; `claims/voices.py` reports them.
    known = [voice for name in names for voice in chorus.named(name) or ()]
    return chorus.in_order(known) or tuple(chorus.voices)
