"""Check for crossed voices.

What it checks: that a voice never sings higher than a voice that stands above it in chorus.yml. Two
voices on the same note do not cross, nor do two that sing the same line. A glide counts as the note
it starts from. Where a voice divides, the lowest note of the upper voice is compared with the
highest of the lower voice. Rounds are not checked, because there voices always cross. Source:
keeping voices in order is common practice in part-writing. A crossing may be meant, so it is only a
notice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from itertools import combinations

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import to_answer
from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.score import Note, Part, Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem


def check_crossing(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `crossed-voices` for each pair of voices that cross, at their first
    crossing."""
    score, facts = subject.score, subject.facts
    if score is None or facts is None or score.line:
        return
    singing = [part for part in subject.parts if part.sung]
    for higher, lower in combinations(singing, 2):
        if lower.voice in higher.shares:
            continue
        for upper, under in _together(higher, lower):
            if min(_heights(score, higher, upper)) < max(_heights(score, lower, under)):
                yield _crossed(score, facts.keys[0], (higher, upper), (lower, under))
                break


def _together(higher: Part, lower: Part) -> Iterator[tuple[Note, Note]]:
    """The pairs of sung notes, one of each part, that sound at the same time, in order."""
    upper, under = higher.sung, lower.sung
    i = j = 0
    while i < len(upper) and j < len(under):
        if upper[i].onset < under[j].end and under[j].onset < upper[i].end:
            yield upper[i], under[j]
        if upper[i].end <= under[j].end:
            i += 1
        else:
            j += 1


def _heights(score: Score, part: Part, note: Note) -> list[int]:
    """The pitches of a note (several when the voice divides) in semitones above the tonic of octave
    0, so that the result holds in every key."""
    assert note.degree is not None
    degrees = (note.degree, *note.below)
    return [degree.semitones(score.mode) + 12 * part.octave for degree in degrees]


def _crossed(
    score: Score, tonic: Pitch, above: tuple[Part, Note], below: tuple[Part, Note]
) -> Problem:
    """The problem of two crossing notes, each given with its part: `above` is that of the voice
    which should be higher."""
    (higher, upper), (lower, under) = above, below
    high = min(sounding_pitches(upper, higher, tonic, score.mode), key=lambda pitch: pitch.midi)
    low = max(sounding_pitches(under, lower, tonic, score.mode), key=lambda pitch: pitch.midi)
    return Problem(
        under.place,
        "crossed-voices",
        f"{_bar(score, upper, under)}, {lower.voice} sings {low}, above {higher.voice} on {high} "
        "(in the first key).",
        "Move one of the two voices by an octave, or exchange their notes. If the crossing is "
        f"meant, {to_answer('crossed-voices')}.",
    )


def _bar(score: Score, upper: Note, under: Note) -> str:
    """In which bar two notes begin to sound together: "In bar 2"."""
    bar = bisect_right(score.bar_starts, max(upper.onset, under.onset))
    if score.pickup:  # the pickup stands before bar 1
        bar -= 1
    return f"In bar {bar}" if bar else "In the pickup"
