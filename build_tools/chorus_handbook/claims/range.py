"""Check of the field `range`: how far the lowest and the highest note of one voice are apart, as an
interval such as P5, in the voice with the widest range.

What it checks: that the stated interval has the measured size in semitones. Its name may differ: A4
and d5 both have six semitones. Source: our choice, because readers rely on a stated range.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import interval, span
from chorus_handbook.pitch import interval_between, interval_name, parse_interval
from chorus_handbook.problems import Problem


def check_range(subject: Subject) -> Iterator[Problem]:
    """Yields an error `range-claim` when the stated range is not the measured one."""
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
            'Delete the line "range:".',
        )
        return
    widest = max(subject.voices, key=lambda voice: voice.ambitus_semitones)
    _, stated_semitones = parse_interval(claim)
    if widest.ambitus_semitones == stated_semitones:
        return
    low, high = widest.lowest, widest.highest
    assert low is not None
    assert high is not None
    yield Problem(
        place,
        "range-claim",
        f"The range is stated as {stated}, but {widest.voice} has a range of {span(low, high)}, "
        f"from {low} to {high} in the first key.",
        f'Write "range: {interval_name(*interval_between(low, high))}", or delete the line. Then '
        "the range is computed.",
    )
