"""Check of the field `voices`, which says who sings in an exercise.

What it checks: that every name is a voice or group in chorus.yml, and that these voices and no
others have notes. The leader is never named there. Source: our choice, because readers rely on what
is stated.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, verb
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import guess
from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes
from chorus_handbook.source import clip


def check_voices(subject: Subject) -> Iterator[Problem]:
    """Yields an error `word-unknown` for each unknown name in the field `voices`. If all names are
    known, it yields an error `voices-claim` when the voices that have notes are not exactly
    those."""
    field, chorus = subject.front.voices, subject.chorus
    if field is None or chorus is None:
        return
    names = [field] if isinstance(field, str) else field
    unknown = False
    for index, name in enumerate(names):
        if chorus.named(name) is None:
            unknown = True
            place = subject.place_of("voices", *(() if isinstance(field, str) else (index,)))
            yield _unknown_name(place, name, names, chorus)
    if not unknown and subject.score is not None:
        stated = {voice for name in names for voice in chorus.named(name) or ()}
        yield from _compare(subject, chorus, stated)


def _unknown_name(place: Place, name: str, names: list[str], chorus: Chorus) -> Problem:
    """The problem of a name at `place`, one of the `names` of the field, that is unknown."""
    known = ["all", *chorus.voices, *chorus.groups]
    others = [word for word in known if word not in names]
    meant = guess(name, chorus)
    suggestion = (
        f' Did you mean "{meant}"?' if meant in others else did_you_mean(clip(name), others)
    )
    return Problem(
        place,
        "word-unknown",
        f'There is no voice or group "{clip(name)}".{suggestion}',
        f'Delete "{LEADER}": the field "voices" is only for voices of the chorus.'
        if name == LEADER
        else f"Write one of these: {in_quotes(known)}.",
    )


def _compare(subject: Subject, chorus: Chorus, stated: set[str]) -> Iterator[Problem]:
    """Report stated voices without notes, and voices with notes that are not stated."""
    singing = {part.voice for part in subject.parts}
    silent = chorus.in_order(stated - singing)
    unstated = chorus.in_order(singing - stated)
    findings = []
    if silent:
        findings.append(f"{listed(silent)} {verb(silent, 'has', 'have')} no notes")
    if unstated:
        findings.append(
            f"{listed(unstated)} "
            f"{verb(unstated, 'has notes and is', 'have notes and are')} not named there"
        )
    if findings:
        everyone = len(singing) == len(chorus.voices)
        right = "all" if everyone else f"[{', '.join(chorus.in_order(singing))}]"
        yield Problem(
            subject.place_of("voices"),
            "voices-claim",
            f'The field "voices" does not match the notes: {"; ".join(findings)}.',
            f'Write "voices: {right}", or write notes for the voices that it names now.'
            if singing
            else 'Write notes for the voices that it names, or delete the line "voices:".',
        )
