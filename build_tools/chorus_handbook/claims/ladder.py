"""Keys beyond a voice's range.

What it checks: that no key carries a voice beyond its limits unless `step_out` lets it leave or
change octave; that some voice can sing every key, and some voice the first; and, where nobody may
step out, which keys go beyond what is comfortable. Source: the ranges are the chorus's
own, in chorus.yml; that a section at the end of its range drops out while the rest go on is common
practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, verb
from chorus_handbook.pitch import Pitch, named
from chorus_handbook.problems import Problem
from chorus_handbook.voices import Ladder, Rung


def check_ladder(subject: Subject) -> Iterator[Problem]:
    """Errors `ladder-start` and `ladder-out`, notice `ladder-edge`: at most one an exercise."""
    ladder, chorus = subject.ladder, subject.chorus
    if ladder is None or chorus is None or not ladder.rungs:
        return
    problem = (
        _nobody(subject, ladder)
        or (_beyond(subject, ladder, chorus) if subject.entry.front.step_out == "no" else None)
        or (_edge(subject, ladder) if subject.entry.front.step_out == "no" else None)
    )
    if problem:
        yield problem


def _nobody(subject: Subject, ladder: Ladder) -> Problem | None:
    """A key that no voice can sing."""
    rungs = ladder.rungs
    empty = next((n for n, rung in enumerate(rungs) if len(rung.out) == len(rung.voices)), None)
    if empty is None:
        return None
    if empty == 0:
        return _problem(
            subject,
            "ladder-start",
            f"Nobody can sing the first key, {rungs[0].tonic}: every voice would leave its limits.",
            "Check the octave: keys names the tonic for voices in octave 0.",
        )
    return _problem(
        subject,
        "ladder-out",
        f"In {rungs[empty].tonic}, key {empty + 1} of {len(rungs)}, nobody can go on: it carries "
        "every voice beyond its limits.",
        f"End keys at {rungs[empty - 1].tonic}.",
    )


def _beyond(subject: Subject, ladder: Ladder, chorus: Chorus) -> Problem | None:
    """A key that carries a voice beyond its limits."""
    place = next((n for n, rung in enumerate(ladder.rungs) if rung.out), None)
    if place is None:
        return None
    rung = ladder.rungs[place]
    return _problem(
        subject,
        "ladder-out",
        f"In {rung.tonic}, key {place + 1} of {len(ladder.rungs)}, "
        + "; ".join(_limit(name, rung, chorus) for name in rung.out)
        + ".",
        (f"End keys at {ladder.rungs[place - 1].tonic}, or write" if place else "Write")
        + " step_out: allowed if singers may leave, or step_out: octave if they may change octave.",
    )


def _limit(name: str, rung: Rung, chorus: Chorus) -> str:
    voice, reach = chorus.voices[name], rung.voices[name].reach
    sharp, widest = rung.tonic.fifths > 0, voice.widest or voice.limits
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


def _edge(subject: Subject, ladder: Ladder) -> Problem | None:
    """Where a voice leaves what is comfortable, when it may not step out."""
    first: dict[str, Pitch] = {}
    holds: set[str] = set()
    for rung in ladder.rungs:
        for name, step in rung.voices.items():
            if step.state == "edge":
                first.setdefault(name, rung.tonic)
                holds |= {name} if step.holds else set()
    if not first:
        return None
    tonic = next(iter(first.values()))
    names = [name for name, key in first.items() if key == tonic]
    how = "holds" if holds & set(names) else "touches"
    whole = "hold" if how == "holds" else "touch"
    return _problem(
        subject,
        "ladder-edge",
        f"In {tonic}, {listed(names)} {verb(names, how, whole)} notes beyond what is comfortable.",
        "Leave out the keys at that end, or write step_out: allowed. If it is meant, write your "
        "reason under answers: ladder-edge: ...",
    )


def _problem(subject: Subject, code: str, message: str, hint: str) -> Problem:
    return Problem(subject.entry.source.place_of("keys"), code, message, hint)
