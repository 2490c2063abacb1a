"""Check of the keys of an exercise against the ranges of the voices.

What it checks: that every key can be sung by at least one voice. Unless the field `step_out` allows
voices to stop or to change octave, also that no key goes beyond a voice's limits, or beyond its
comfortable range. A *ladder* is all keys of an exercise in the order in which they are sung; a
*rung* is one of these keys with what each voice does in it. Source: the ranges are those
of chorus.yml; that a section stops at the end of its range while the others go on is common
practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, to_answer, verb
from chorus_handbook.pitch import named
from chorus_handbook.problems import Problem
from chorus_handbook.voices import Ladder, Rung


def check_ladder(subject: Subject) -> Iterator[Problem]:
    """Yields at most one problem: an error `ladder-start` if nobody can sing the first key; an
    error `ladder-out` if nobody can sing a later key, or if a voice that may not step out would go
    beyond its limits; a notice `ladder-edge` if such a voice would leave its comfortable range."""
    ladder, chorus = subject.ladder, subject.chorus
    if ladder is None or chorus is None or not ladder.rungs:
        return
    problem = _key_for_nobody(subject, ladder)
    if not problem and subject.front.step_out == "no":
        problem = _beyond_limits(subject, ladder, chorus) or _beyond_comfort(subject, ladder)
    if problem:
        yield problem


def _key_for_nobody(subject: Subject, ladder: Ladder) -> Problem | None:
    """The problem of the first key that no voice can sing; None if there is no such key."""
    rungs = ladder.rungs
    empty = next((n for n, rung in enumerate(rungs) if len(rung.out) == len(rung.voices)), None)
    if empty is None:
        return None
    if empty == 0:
        return _problem(
            subject,
            "ladder-start",
            f"Nobody can sing in the first key, {rungs[0].tonic}: every voice would go beyond its "
            "limits.",
            'Check the octave of the notes after "keys:", such as the 4 in "C4".',
        )
    return _problem(
        subject,
        "ladder-out",
        f"In {rungs[empty].tonic}, key {empty + 1} of {len(rungs)}, nobody can sing: every voice "
        "would go beyond its limits.",
        f'Let the keys after "keys:" end with "{rungs[empty - 1].tonic}".',
    )


def _beyond_limits(subject: Subject, ladder: Ladder, chorus: Chorus) -> Problem | None:
    """The problem of the first key in which a voice would go beyond its limits; None if there is no
    such key."""
    first = next((n for n, rung in enumerate(ladder.rungs) if rung.out), None)
    if first is None:
        return None
    rung = ladder.rungs[first]
    reasons = "; ".join(_limit(name, rung, chorus) for name in rung.out)
    write = (
        f'Let the keys after "keys:" end with "{ladder.rungs[first - 1].tonic}", or write'
        if first
        else "Write"
    )
    return _problem(
        subject,
        "ladder-out",
        f"In {rung.tonic}, key {first + 1} of {len(ladder.rungs)}, {reasons}.",
        f'{write} "step_out: allowed" if voices may stop, or "step_out: octave" if they may change '
        "octave.",
    )


def _limit(name: str, rung: Rung, chorus: Chorus) -> str:
    """Which note of the voice `name` is beyond which of its limits in this key: "alto would sing up
    to F5, above its limit E5". The voice must be one that cannot sing in this key."""
    voice, reach = chorus.voices[name], rung.voices[name].reach
    sharp, widest = rung.tonic.fifths > 0, voice.widest or voice.limits
    # Each span of notes (MIDI numbers) with its limits: sung notes, then notes of a glide.
    spans = [(reach.lowest, reach.highest, widest if reach.wide else voice.limits)]
    if reach.glided_lowest is not None and reach.glided_highest is not None:
        spans.append((reach.glided_lowest, reach.glided_highest, widest))
    for _, highest, limits in spans:
        if highest > limits.high:
            note = named(highest, sharp=sharp)
            return f"{name} would sing up to {note}, above its limit {limits.highest}"
    lowest, limits = next((low, limits) for low, _, limits in spans if low < limits.low)
    note = named(lowest, sharp=sharp)
    return f"{name} would sing down to {note}, below its limit {limits.lowest}"


def _beyond_comfort(subject: Subject, ladder: Ladder) -> Problem | None:
    """The problem of the first key in which a voice leaves its comfortable range; None if there is
    no such key."""
    steps = [step for rung in ladder.rungs for step in rung.voices.items()]
    sustaining = {name for name, step in steps if step.state == "edge" and step.sustains_outside}
    for rung in ladder.rungs:
        names = [name for name, step in rung.voices.items() if step.state == "edge"]
        if not names:
            continue
        sustained = sustaining & {*names}
        how = ("sustains", "sustain") if sustained else ("sings short", "sing short")
        return _problem(
            subject,
            "ladder-edge",
            f"In the key {rung.tonic}, {listed(names)} {verb(names, *how)} notes outside the "
            "comfortable range.",
            'Leave out the keys in which this happens, or write "step_out: allowed" if voices may '
            f"stop. If it is meant, {to_answer('ladder-edge')}.",
        )
    return None


def _problem(subject: Subject, code: str, message: str, hint: str) -> Problem:
    return Problem(subject.place_of("keys"), code, message, hint)
