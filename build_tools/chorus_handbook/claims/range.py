"""Check of the field `range`: the widest range of one voice, as an interval such as P5.

What it checks: that the stated interval is that between the lowest and the highest note of the
voice with the widest range. Only its size counts: A4 and d5 are both six semitones. Source: our
choice, because readers rely on a stated range.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import interval, span
from chorus_handbook.pitch import interval_between, interval_name, parse_interval
from chorus_handbook.problems import Problem


def check_range(subject: Subject) -> Iterator[Problem]:
    """Error `range-claim` when the claim is not the widest voice's span."""
    claim = subject.front.range
    if claim is None or subject.facts is None:
        return
    place = subject.place_of("range")
    stated = interval(claim.strip())
    if not subject.voices:
        yield Problem(
            place,
            "range-claim",
            f"The range is stated as {stated}, but no voice of the chorus sings a pitch.",
            "Delete the field range: speech has none to measure.",
        )
        return
    widest = max(subject.voices, key=lambda voice: voice.ambitus_semitones)
    if widest.ambitus_semitones == parse_interval(claim)[1]:
        return
    low, high = widest.lowest, widest.highest
    assert low is not None
    assert high is not None
    yield Problem(
        place,
        "range-claim",
        f"The range is stated as {stated}, but {widest.voice} has a range of {span(low, high)}, "
        f"from {low} to {high} in the first key.",
        f'Write "range: {interval_name(*interval_between(low, high))}", or delete the line; then '
        "the range is computed.",
    )
