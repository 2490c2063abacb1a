"""Check of the field `voices`: who sings in an exercise.

What it checks: that every name is a voice or group of chorus.yml, and that exactly these voices
have notes. The leader is never named there. Source: our choice, because readers rely on what is
stated.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, verb
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import guess
from chorus_handbook.problems import Problem, did_you_mean, in_quotes
from chorus_handbook.source import clip


def check_voices(subject: Subject) -> Iterator[Problem]:
    """Error `word-unknown` for an unknown name, `voices-claim` when other voices have notes."""
    stated, chorus = subject.front.voices, subject.chorus
    if stated is None or chorus is None:
        return
    names = [(stated, ())] if isinstance(stated, str) else [(n, (i,)) for i, n in enumerate(stated)]
    unknown = [(name, where) for name, where in names if chorus.named(name) is None]
    known = ["all", *chorus.voices, *chorus.groups]
    free = [word for word in known if word not in [name for name, _ in names]]
    for name, where in unknown:
        hint = (
            "Delete the leader here: the field voices is only for voices of the chorus."
            if name == LEADER
            else f"Write one of these: {in_quotes(known)}."
        )
        meant = guess(name, chorus)
        yield Problem(
            subject.place_of("voices", *where),
            "word-unknown",
            f'There is no voice or group "{clip(name)}".'
            + (f' Did you mean "{meant}"?' if meant in free else did_you_mean(clip(name), free)),
            hint,
        )
    if not unknown and subject.score is not None:
        wanted = {voice for name, _ in names for voice in chorus.named(name) or ()}
        yield from _compare(subject, chorus, wanted)


def _compare(subject: Subject, chorus: Chorus, stated: set[str]) -> Iterator[Problem]:
    singing = {part.voice for part in subject.parts}
    silent = chorus.in_order(stated - singing)
    unstated = chorus.in_order(singing - stated)
    findings = []
    if silent:
        findings.append(f"{listed(silent)} {verb(silent, 'has', 'have')} no notes")
    if unstated:
        findings.append(
            f"{listed(unstated)} "
            f"{verb(unstated, 'has notes and is', 'have notes and are')} not stated"
        )
    if findings:
        everyone = len(singing) == len(chorus.voices)
        right = "all" if everyone else f"[{', '.join(chorus.in_order(singing))}]"
        yield Problem(
            subject.place_of("voices"),
            "voices-claim",
            f'The field "voices" does not match the notes: {"; ".join(findings)}.',
            f'Write "voices: {right}", or give the missing voices their line.'
            if singing
            else "Give the stated voices a line, or delete the field voices.",
        )
