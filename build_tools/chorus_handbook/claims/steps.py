"""Check of the times of the steps in the section "How to run it", such as "(20 s)".

What it checks: that either every step states a time or none does, and that the times add up to
between 50 and 110 % of the field `minutes`; the rest is talking, which is not a step. Source: our
choice, because whoever leads an exercise at short notice follows its steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import seconds
from chorus_handbook.entries.steps import Step, read_steps
from chorus_handbook.problems import Problem
from chorus_handbook.source import clip

#: The smallest and the largest share of `minutes` that all steps together may take.
LEAST, MOST = 0.5, 1.1
#: A step of more seconds than this must be a mistake.
_LONGEST_STEP = 3600


def check_steps(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `step-time` for each step without a proper time, if any step has a time. If
    all have, it yields a notice `steps-claim` when they add up to too little or too much."""
    steps = read_steps(subject.entry.source)
    if not any(step.seconds or step.unread for step in steps):
        return
    problems = [problem for step in steps if (problem := _time_problem(step))]
    yield from problems or _sum_problem(subject, steps)


def _time_problem(step: Step) -> Problem | None:
    """What is wrong with the time of one step; None if nothing is."""
    forms = 'as in "(20 s)", "(2 min)" or "(1 min 30 s)".'
    if step.unread:
        message = (
            f'"({clip(step.unread)})" in step {step.number} cannot be read as a time. '
            "A time has minutes, seconds or both, in digits without a comma."
        )
        hint = f"Write it {forms}"
    elif step.seconds is None:
        message = f"Step {step.number} has no time, although other steps have."
        hint = (
            f"Write a time after the number of the step, {forms} If it is not a step, move it "
            "above the list."
        )
    elif step.seconds > _LONGEST_STEP:
        message = f"Step {step.number} takes {seconds(step.seconds)}, which is more than an hour."
        hint = f"Write a shorter time, {forms}"
    else:
        return None
    return Problem(step.place, "step-time", message, hint)


def _sum_problem(subject: Subject, steps: Sequence[Step]) -> Iterator[Problem]:
    """Yields a notice `steps-claim` if the times of the steps do not add up to about the stated
    minutes."""
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
