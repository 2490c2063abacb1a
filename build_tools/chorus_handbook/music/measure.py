"""Measures what an exercise asks of each voice: range, intervals, phrases, length.

Everything is measured in the first key, with every voice in its own octave. The result is a
`facts.Facts`, which explains each figure. Times are in seconds at the stated tempo; notes under a
fermata last twice as long as written.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import pairwise

from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.music.level import difficulty
from chorus_handbook.music.lines import at_once, lines_by_block
from chorus_handbook.music.phrases import phrases_of
from chorus_handbook.music.score import LEADER, Note, Part, Score
from chorus_handbook.pitch import Pitch, interval_between, interval_name

#: The intervals that count as steps, in semitones.
STEPS = (1, 2)

#: A function that turns a moment of a score, in quarters, into seconds from its beginning.
Clock = Callable[[Fraction], float]


@dataclass(frozen=True, slots=True)
class _Interval:
    """The interval from one sung note to the next, and whether the voice glides."""

    steps: int
    semitones: int
    glided: bool

    @property
    def size(self) -> int:
        return abs(self.semitones)


def measure(
    slug: str,
    score: Score,
    *,
    tempo: float,
    keys: tuple[Pitch, ...],
    passes: int,
    lead_in: int,
) -> Facts:
    """Measure the score of the exercise whose name in addresses is `slug`.

    tempo: in beats a minute.
    keys: the tonics of its keys, as the field `keys` names them (C4); at least one.
    passes: how often it is sung in each key.
    lead_in: the number of beats between two keys.
    """
    clock = clock_of(score, tempo)
    one_pass = clock(score.length)
    intervals = {part.voice: _intervals(part, score, keys[0]) for part in score.parts}
    voices = tuple(
        replace(_voice_facts(part, score, keys[0], intervals[part.voice], clock), line=line)
        for part, line in zip(score.parts, _lines(score.parts), strict=True)
    )
    chorus = [facts for facts in voices if facts.voice != LEADER]
    everyone = [i for facts in chorus for i in intervals[facts.voice]]
    widest = max(everyone, key=lambda i: i.size, default=None)
    return Facts(
        slug=slug,
        tempo=tempo,
        meter=str(score.meter),
        mode=score.mode,
        keys=keys,
        seconds_per_pass=one_pass,
        length_seconds=len(keys) * passes * one_pass + (len(keys) - 1) * lead_in * 60 / tempo,
        parts=max(map(at_once, lines_by_block(score))),
        ambitus_semitones=max((facts.ambitus_semitones for facts in chorus), default=0),
        largest_interval=widest.size if widest else 0,
        largest_leap=max((facts.largest_leap for facts in chorus), default=0),
        step_share=_step_share(everyone),
        longest_phrase_seconds=max((f.longest_phrase_seconds for f in chorus), default=0.0),
        voices=voices,
        largest_interval_name=interval_name(widest.steps, widest.semitones) if widest else "",
        phrases=phrases_of(score.written),
        difficulty=difficulty(score, clock),
    )


def sounding_pitch(note: Note, part: Part, tonic: Pitch, mode: str) -> Pitch:
    """The pitch at which a note is sung in the key on `tonic` (C4, say): as many octaves from there
    as its part states (`Part.octave`). Where the voice divides, the highest of its pitches."""
    return sounding_pitches(note, part, tonic, mode)[0]


def sounding_pitches(note: Note, part: Part, tonic: Pitch, mode: str) -> tuple[Pitch, ...]:
    """All pitches at which a note is sung, from high to low, as `sounding_pitch` explains. There
    are several only where the voice divides."""
    assert note.degree is not None
    own = tonic.moved(7 * part.octave, 12 * part.octave)
    return tuple(degree.in_key(own, mode) for degree in (note.degree, *note.below))


def _voice_facts(
    part: Part, score: Score, tonic: Pitch, intervals: Sequence[_Interval], clock: Clock
) -> VoiceFacts:
    # Notes that are sung only as far as is easy count like all others here. Where a voice divides,
    # all pitches of a note count for the range, but they are counted as one note.
    pitches = [p for note in part.sung for p in sounding_pitches(note, part, tonic, score.mode)]
    lowest = min(pitches, key=lambda pitch: pitch.midi, default=None)
    highest = max(pitches, key=lambda pitch: pitch.midi, default=None)
    sizes = Counter(interval.size for interval in intervals)
    spoken = sum((note.duration for note in part.notes if note.spoken), Fraction(0))
    return VoiceFacts(
        voice=part.voice,
        lowest=lowest,
        highest=highest,
        ambitus_semitones=highest.midi - lowest.midi if lowest and highest else 0,
        notes=len(part.sung),
        syllables=sum(bool(note.syllables and note.syllables[0]) for note in part.notes),
        spoken_beats=float(spoken / score.meter.beat),
        intervals=dict(sorted(sizes.items())),
        largest_interval=max(sizes, default=0),
        largest_leap=max((i.size for i in intervals if not i.glided), default=0),
        step_share=_step_share(intervals),
        longest_phrase_seconds=max(_seconds_in_phrase(part, clock), default=0.0),
        voiced_seconds=sum((clock(note.end) - clock(note.onset) for note in part.sung), 0.0),
        first=sounding_pitch(part.sung[0], part, tonic, score.mode) if part.sung else None,
    )


def _lines(parts: Sequence[Part]) -> list[int]:
    """A number for each part; parts that sing the same notes have the same number."""
    numbers: dict[object, int] = {}  # by the notes of a part; by the voices that share a line
    result: list[int] = []
    for part in parts:
        # Parts that share a written line need not be compared note by note, which is slow.
        known = numbers.get(part.shares) if part.shares else None
        number = numbers.setdefault(part.line, len(set(result))) if known is None else known
        if part.shares:
            numbers[part.shares] = number
        result.append(number)
    return result


def _intervals(part: Part, score: Score, tonic: Pitch) -> list[_Interval]:
    """The intervals from note to note of a voice, also across rests; between the highest notes
    where it divides."""
    found = []
    for note, following in pairwise(part.sung):
        here = sounding_pitch(note, part, tonic, score.mode)
        there = sounding_pitch(following, part, tonic, score.mode)
        steps, semitones = interval_between(here, there)
        found.append(_Interval(steps, semitones, note.glide_at is not None))
    return found


def _step_share(intervals: Sequence[_Interval]) -> float | None:
    """The share of steps in these intervals, from 0 to 1; None if there are no intervals."""
    if not intervals:
        return None
    return sum(interval.size in STEPS for interval in intervals) / len(intervals)


def _seconds_in_phrase(part: Part, clock: Clock) -> Iterator[float]:
    """For each note of a voice, how long its phrase has lasted at the end of the note, in seconds;
    the greatest of these is the longest phrase. A phrase ends at a breath or rest, but not at a
    staggered breath, which the singers take at different moments."""
    start: Fraction | None = None
    for event in part.events:
        if not isinstance(event, Note):
            start = None
            continue
        start = event.onset if start is None else start
        yield clock(event.end) - clock(start)
        if event.breath == "breath":
            start = None


def clock_of(score: Score, tempo: float) -> Clock:
    """A function that turns a moment of the score (in quarters) into seconds from its beginning.
    `tempo` is in beats a minute."""
    sounding = score.sounding()
    per_quarter = 60 / tempo / score.meter.beat
    return cache(lambda moment: float(sounding(moment) * per_quarter))
