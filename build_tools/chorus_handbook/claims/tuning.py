"""`tune_to` and `roots` against who sings and for how long.

What it checks: that `tune_to` names the tonic, the bass or a voice with a pitch in this exercise;
that not both are given; that roots are not longer than the notes; that there are notes at all.
Source: our choice, because one chord can be tuned from one note only.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import beats, counted, listed
from chorus_handbook.problems import Problem, did_you_mean

#: What may be held fixed besides a voice.
WORDS = ("tonic", "bass")
_CODE = "tuning-claim"


def check_tuning(subject: Subject) -> Iterator[Problem]:
    """Error `tuning-claim` for each of the two fields that cannot be followed."""
    front, score = subject.front, subject.score
    for field in ("tune_to", "roots"):
        if getattr(front, field) is not None and subject.entry.source.notation is None:
            yield Problem(
                subject.place_of(field),
                _CODE,
                f"{field} is given, but the exercise has no notes to tune.",
                f"Delete {field}, or add notation.",
            )
            return
    if front.tune_to is not None and front.roots is not None:
        yield Problem(
            subject.place_of("roots"),
            _CODE,
            "Both tune_to and roots are given; only one of them can be followed.",
            "Delete one: keep roots if you want to name each root yourself.",
        )
    if score is None or not score.parts:
        return
    singing = [part.voice for part in score.parts if part.sung]
    if front.tune_to is not None and front.tune_to not in (*WORDS, *singing):
        yield _nobody(subject, front.tune_to, singing)
    roots = sum(root.beats for root in front.root_path)
    if roots * score.meter.beat > score.length:
        yield Problem(
            subject.place_of("roots"),
            _CODE,
            f"The roots last {counted(roots, 'beat')}, the notes only "
            f"{beats(score.length, score.meter)}.",
            "Write one root for each beat of a pass, repeats included; the last holds to the end.",
        )


def _nobody(subject: Subject, name: str, singing: list[str]) -> Problem:
    chorus = subject.chorus
    known = chorus is not None and name in chorus.voices
    message = (
        f"tune_to names {name}, who has no pitch to sing here."
        if known
        else f"tune_to names {name}, which is neither tonic nor bass nor a voice that sings here."
        + did_you_mean(name, [*WORDS, *singing])
    )
    return Problem(
        subject.place_of("tune_to"),
        _CODE,
        message,
        f"Write one of {listed(dict.fromkeys([*WORDS, *singing]))}.",
    )
