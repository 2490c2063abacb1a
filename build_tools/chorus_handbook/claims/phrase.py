"""Check of the longest phrase: how long singers sing without a chance to breathe.

What it checks: that no voice sings longer than 10 seconds without a breath mark or rest. Lines with
staggered breaths, where singers breathe in turn, are not checked. Source: adults in their sixties
can hold a tone for 22.3 s on average (Maslan and others, "Maximum phonation time in healthy older
adults", Journal of Voice 25(6), 2011). That about half of this is comfortable is our choice, so it
is only a notice.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, to_answer, verb
from chorus_handbook.music.score import Note, Part, Score
from chorus_handbook.problems import Place, Problem

#: How many seconds a phrase may last before it is reported.
LONGEST_PHRASE = 10.0


def check_phrase(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `phrase-length` for each line whose longest phrase is too long."""
    score, facts = subject.score, subject.facts
    if score is None or facts is None:
        return
    longest = {voice.voice: voice.longest_phrase_seconds for voice in facts.voices}
    # By voice: all voices that sing from the same line, which is reported only once.
    shares = {part.voice: part.shares or (part.voice,) for part in score.written.parts}
    reported: set[tuple[str, ...]] = set()
    for part in sorted(subject.parts, key=lambda part: -longest.get(part.voice, 0.0)):
        length, voices = longest.get(part.voice, 0.0), shares[part.voice]
        if length <= LONGEST_PHRASE or voices in reported or _staggered(part):
            continue
        reported.add(voices)
        yield Problem(
            _start(score, part),
            "phrase-length",
            f"{listed(voices)} {verb(voices, 'sings', 'sing')} for {ceil(10 * length) / 10:g} s "
            f"from here without a breath; more than {LONGEST_PHRASE:.0f} s is long for many "
            "singers.",
            'Add a breath: "v" in degrees, "!breath!" in ABC, a breath mark in a score. If singers '
            'breathe in turn, write "v?" in degrees. Or raise the tempo. If it is meant, '
            f"{to_answer('phrase-length')}.",
        )


def _staggered(part: Part) -> bool:
    """Whether there is a staggered breath anywhere in the part."""
    return any(
        event.breath == "staggered" or (isinstance(event, Note) and event.staggered)
        for event in part.events
    )


def _start(score: Score, part: Part) -> Place:
    """The place in the file where the part's longest phrase begins."""
    sounding = score.sounding()  # from written positions to sounding ones: fermatas take longer
    longest, place = Fraction(-1), Place("")
    first = None  # the first note of the phrase
    for event in part.events:
        if not isinstance(event, Note):
            first = None
            continue
        first = first or event
        length = sounding(event.end) - sounding(first.onset)
        if length > longest:
            longest, place = length, first.place
        if event.breath == "breath":
            first = None
    return place
