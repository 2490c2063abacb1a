"""Check of the field `motion`: how the line moves from note to note.

What it checks: that the widest interval fits the word. "repeats" stays on one note; "steps" moves
by 1 or 2 semitones at most; "skips" by 3 or 4; "leaps" has an interval of 5 semitones or more that
is sung and not glided; "glide" has a glide; "mixed" is always true. Source: step, skip and leap are
used as in music theory teaching (common practice). It is only a notice, because the character of a
line depends on more than its widest interval.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import interval_of, listed
from chorus_handbook.problems import Problem

#: The largest step and the largest third, in semitones.
STEP, THIRD = 2, 4
#: For each word of `motion` except "mixed", what it means, for hints.
_MEANINGS = {
    "repeats": "Repeats stay on one note",
    "steps": "Steps are moves by one or two semitones and nothing wider",
    "skips": "Skips reach a third somewhere and nothing wider",
    "leaps": "Leaps reach a fourth or more somewhere, sung and not glided",
    "glide": "A glide needs a ~ in the notation",
}


def check_motion(subject: Subject) -> Iterator[Problem]:
    """Notice `motion-claim` when the measured intervals are not of the stated kind."""
    claim = subject.front.motion
    if claim is None or claim == "mixed" or subject.score is None or subject.facts is None:
        return
    moves: Counter[int] = Counter()
    for voice in subject.voices:
        moves.update(voice.intervals)
    sizes = {size for size, count in moves.items() if count}
    if claim in _kinds(sizes, subject):
        return
    yield Problem(
        subject.place_of("motion"),
        "motion-claim",
        f'The motion is stated as "{claim}", but {_measured(moves, subject)}.',
        f"{_MEANINGS[claim]}. {_advice(sizes, subject)}",
    )


def _kinds(sizes: set[int], subject: Subject) -> set[str]:
    """The words for `motion` that would be true; `sizes` are the intervals in semitones."""
    widest = max(sizes, default=0)
    kinds = set()
    if sizes and widest == 0:
        kinds.add("repeats")
    if 0 < widest <= STEP:
        kinds.add("steps")
    if STEP < widest <= THIRD:
        kinds.add("skips")
    if max((voice.largest_leap for voice in subject.voices), default=0) > THIRD:
        kinds.add("leaps")
    if any(note.glide_at is not None for part in subject.parts for note in part.sung):
        kinds.add("glide")
    return kinds


def _measured(moves: Counter[int], subject: Subject) -> str:
    total = moves.total()
    if not total:
        return "no voice moves from one pitch to another"
    bands = (
        ("repeated notes", 0, 0),
        ("steps", 1, STEP),
        ("thirds", STEP + 1, THIRD),
        ("wider", THIRD + 1, max(moves)),
    )
    shares = [
        f"{100 * count / total:.0f} % {name}"
        for name, low, high in bands
        if (count := sum(n for size, n in moves.items() if low <= size <= high))
    ]
    widest = max(subject.voices, key=lambda voice: voice.largest_interval)
    size = widest.largest_interval
    reach = f"; the widest is {interval_of(size)}, in {widest.voice}" if size else ""
    return f"the moves from note to note are {listed(shares)}{reach}"


def _advice(sizes: set[int], subject: Subject) -> str:
    fitting = [kind for kind in _MEANINGS if kind in _kinds(sizes, subject)]
    words = " or ".join(f'"motion: {kind}"' for kind in [*fitting, "mixed"])
    return f"Write {words}, or delete the line."
