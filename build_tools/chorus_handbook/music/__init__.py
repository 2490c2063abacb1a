"""Notation into scores, and scores into measured facts.

A score (`score`) is relative to a tonic, so one serves every key; the keys are spelled in `keys`,
and what the exercise asks of each voice is measured in `measure` (`facts` says what the figures
mean, `facts_json` writes them). Each notation has a reader, a package each.
Each hands over voices as they are `written`, and these are put together alike: `unfold` writes out
the repeats, `performance` and `bars` put them in time, `singers` says who sings them, `ensemble`
makes the score. Where it is the line of a round, `round` makes from it all that the voices sing.
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

#: From notation to a score and problems. A score without parts holds only what was written: what
#: could be read of a text with problems. The names are the voices of the exercise.
Reader = Callable[[Notation, Chorus, Sequence[str]], tuple[Score | None, list[Problem]]]


def reader_of(notation: FenceNotation) -> Reader:
    """How a notation is read that stands in a fence."""
    if notation == "abc":
        from chorus_handbook.music.abc import read_abc

        return read_abc
    from chorus_handbook.music.degrees import read_degrees

    return read_degrees


@dataclass(frozen=True, slots=True)
class Music:
    """The notation of one exercise, as far as it could be read.

    `score` is None without notation that could be read to its end. `draft` is for the checks of
    bars, lengths and syllables only: a score without parts, of a text that has problems elsewhere;
    there is never both. `facts` are measured where the front matter is valid.
    """

    score: Score | None = None
    draft: Score | None = None
    facts: Facts | None = None


def read_music(
    source: Source, front: FrontMatter | None, chorus: Chorus, root: Path
) -> tuple[Music, list[Problem]]:
    """Read and measure the notation of one exercise of the handbook in the folder `root`.

    Notation is read where the front matter is broken, too, so that all problems of a file show at
    once.
    """
    from chorus_handbook.music.round import sing_round, without_notes

    notation, stated = source.notation, front.round if front else None
    if notation is None:
        return Music(), [without_notes(source)] if stated else []
    if notation.kind == "score":
        from chorus_handbook.music.musicxml.reader import read_musicxml

        score, problems = read_musicxml(notation, chorus, _voices(front, chorus), root=root)
    else:
        score, problems = reader_of(notation.kind)(notation, chorus, _voices(front, chorus))
    if stated:
        line = score
        score, found = sing_round(line, stated, source, chorus)
        problems += found
        if line and score is None:
            return Music(draft=replace(line, parts=())), problems
    if score is None:
        return Music(), problems
    if not score.parts:
        return Music(draft=score), problems
    facts = None
    if front and front.tempo and front.key_path:
        from chorus_handbook.music.keys import spell_keys
        from chorus_handbook.music.measure import measure

        facts = measure(
            source.slug,
            score,
            tempo=front.tempo,
            keys=spell_keys(score, front.key_path),
            passes=front.passes,
            lead_in=front.lead_in,
        )
    return Music(score, facts=facts), problems


def _voices(front: FrontMatter | None, chorus: Chorus) -> tuple[str, ...]:
    """The voices that `all` stands for: those of the front matter, else those of its
    round, else the whole chorus."""
    stated = front.voices if front else None
    if stated is None and front and front.round:
        from chorus_handbook.music.round import voices_of

        return voices_of(front.round, chorus) or tuple(chorus.voices)
    names = [stated] if isinstance(stated, str) else stated or ["all"]
    # A name nobody has is reported where the front matter is held against the chorus.
    return chorus.in_order([voice for name in names for voice in chorus.named(name) or ()]) or (
        tuple(chorus.voices)
    )
