"""Check of the times of the steps in "How to run it".

What it checks: that either every step states a time or none does, and that the times add up to
between 50 and 110 % of the field `minutes` (the rest is talking, which is not a step). Source:
common practice, because whoever leads an exercise at short notice follows its steps; the limits are
our choice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import seconds
from chorus_handbook.entries.steps import Step, read_steps
from chorus_handbook.problems import Problem
from chorus_handbook.source import clip

#: The smallest and largest part of `minutes` that all steps together may take.
LEAST, MOST = 0.5, 1.1
#: A longer step, in seconds, must be a mistake.
_TOO_LONG = 3600


def check_steps(subject: Subject) -> Iterator[Problem]:
    """Notices `step-time` for steps without a proper time among others, else `steps-claim`."""
    steps = read_steps(subject.entry.source)
    if not any(step.seconds or step.unread for step in steps):
        return
    found = [problem for step in steps if (problem := _untimed(step))]
    yield from found or _sum(subject, steps)


def _untimed(step: Step) -> Problem | None:
    """What is wrong with the time of one step."""
    hint = "Write seconds or minutes after the number: (20 s), (2 min), (1 min 30 s)."
    if step.unread:
        message = f'"({clip(step.unread)})" in step {step.number} cannot be read as a time.'
    elif step.seconds is None:
        message = f"Step {step.number} has no time, although others have."
        hint += " Anything that is not a step can stand above the list."
    elif step.seconds > _TOO_LONG:
        message = f"Step {step.number} takes {seconds(step.seconds)}, which is more than an hour."
    else:
        return None
    return Problem(step.place, "step-time", message, hint)


def _sum(subject: Subject, steps: Sequence[Step]) -> Iterator[Problem]:
    total = sum(step.seconds or 0 for step in steps)
    stated = 60 * subject.front.minutes
    if LEAST * stated <= total <= MOST * stated:
        return
    half_minutes = max(1, ceil(total / 30))
    yield Problem(
        steps[0].place,
        "steps-claim",
        f'The steps add up to {seconds(total)}. With "minutes: {subject.front.minutes:g}" they '
        f"should take between {seconds(LEAST * stated)} and {seconds(int(MOST * stated))}.",
        f'Change the times of the steps, or write "minutes: {half_minutes / 2:g}".',
    )
