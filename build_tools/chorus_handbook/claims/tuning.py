"""Check of the fields `tune_to` and `roots`, which say to which note the others of a chord are
tuned when the player plays in just intonation.

What it checks: that there are notes at all; that only one of the two fields is given, because a
chord can be tuned to one note only; that `tune_to` names the tonic, the bass or a voice that sings
in this exercise; and that `roots` do not last longer than the notes. Source: our choice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import beats, counted
from chorus_handbook.problems import Problem, did_you_mean, in_quotes

#: What `tune_to` may name besides a voice.
WORDS = ("tonic", "bass")
_CODE = "tuning-claim"


def check_tuning(subject: Subject) -> Iterator[Problem]:
    """Yields an error `tuning-claim` for each mistake in the fields `tune_to` and `roots`, of the
    kinds that are listed at the top of this module."""
    front, score = subject.front, subject.score
    for field in ("tune_to", "roots"):
        if getattr(front, field) is not None and subject.entry.source.notation is None:
            yield Problem(
                subject.place_of(field),
                _CODE,
                f'The field "{field}" is given, but the exercise has no notes to tune.',
                f'Delete the line "{field}:", or add notes.',
            )
            return
    if front.tune_to is not None and front.roots is not None:
        yield Problem(
            subject.place_of("roots"),
            _CODE,
            '"tune_to" and "roots" are both given, but chords can be tuned by only one of them.',
            'Delete one of the two fields. Keep "roots" if each chord has its own root.',
        )
    if score is None or not score.parts:
        return
    singing = [part.voice for part in score.parts if part.sung]
    if front.tune_to is not None and front.tune_to not in (*WORDS, *singing):
        yield _no_such_voice(subject, front.tune_to, singing)
    roots = sum(root.beats for root in front.root_path)
    if roots * score.meter.beat > score.length:
        yield Problem(
            subject.place_of("roots"),
            _CODE,
            f'The field "roots" gives roots for {counted(roots, "beat")}, but the notes last only '
            f"{beats(score.length, score.meter)}.",
            'After "roots:", write one root for each beat of the notes (a repeated bar counts each '
            "time). If there are fewer, the last root lasts to the end.",
        )


def _no_such_voice(subject: Subject, name: str, singing: list[str]) -> Problem:
    """The problem of a name after `tune_to` that is none of the voices that sing."""
    chorus = subject.chorus
    known = chorus is not None and name in chorus.voices
    message = (
        f'"tune_to" names "{name}", but {name} sings no notes in this exercise.'
        if known
        else f'"tune_to" names "{name}", but no voice of that name sings in this exercise.'
        + did_you_mean(name, [*WORDS, *singing])
    )
    return Problem(
        subject.place_of("tune_to"),
        _CODE,
        message,
        f"Write one of these: {in_quotes(dict.fromkeys([*WORDS, *singing]))}.",
    )
