"""Check of the field `motion`: how the line moves from note to note.

What it checks: that the widest interval fits the word of the field. "repeats" means that the line
stays on one note, "steps" that its widest interval has 1 or 2 semitones, "skips" 3 or 4, and
"leaps" 5 or more, over which the voice does not glide. "glide" means that there is a glide; "mixed"
is always true. Source: step, skip and leap are used as in the teaching of music theory (common
practice). It is only a notice, because the character of a line depends on more than its widest
interval.
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
    "repeats": '"repeats" means that the line stays on one note',
    "steps": '"steps" means moves by one or two semitones and nothing wider',
    "skips": '"skips" means that the widest move is a third',
    "leaps": '"leaps" means that some move is a fourth or more, without a glide',
    "glide": '"glide" means that there is a glide, written "~" in the notation',
}


def check_motion(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `motion-claim` when the measured intervals do not fit the word in the field
    `motion`."""
    claim = subject.front.motion
    if claim is None or claim == "mixed" or subject.score is None or subject.facts is None:
        return
    moves: Counter[int] = Counter()  # how often each interval occurs, by its size in semitones
    for voice in subject.voices:
        moves.update(voice.intervals)
    sizes = {size for size, count in moves.items() if count}
    if claim in _true_words(sizes, subject):
        return
    yield Problem(
        subject.place_of("motion"),
        "motion-claim",
        f'The motion is stated as "{claim}", but {_measured(moves, subject)}.',
        f"{_MEANINGS[claim]}. {_advice(sizes, subject)}",
    )


def _true_words(sizes: set[int], subject: Subject) -> set[str]:
    """The words for `motion` that would be true. `sizes` are the sizes of all intervals, in
    semitones."""
    widest = max(sizes, default=0)
    words = set()
    if sizes and widest == 0:
        words.add("repeats")
    if 0 < widest <= STEP:
        words.add("steps")
    if STEP < widest <= THIRD:
        words.add("skips")
    if max((voice.largest_leap for voice in subject.voices), default=0) > THIRD:
        words.add("leaps")
    if any(note.glide_at is not None for part in subject.parts for note in part.sung):
        words.add("glide")
    return words


def _measured(moves: Counter[int], subject: Subject) -> str:
    """How the voices move, in words: "the moves from note to note are 80 % steps and 20 % thirds;
    the widest is a third, in alto"."""
    total = moves.total()
    if not total:
        return "no voice moves from one pitch to another"
    bands = (
        ("repeated notes", 0, 0),
        ("steps", 1, STEP),
        ("thirds", STEP + 1, THIRD),
        ("wider moves", THIRD + 1, max(moves)),
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
    """The end of the hint: which words to write instead of the stated one. `sizes` are the sizes of
    all intervals, in semitones."""
    fitting = [word for word in _MEANINGS if word in _true_words(sizes, subject)]
    words = " or ".join(f'"motion: {word}"' for word in [*fitting, "mixed"])
    return f"Write {words}, or delete the line."
