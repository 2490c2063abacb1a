"""A score in time, as it sounds: whole ticks from the start of one pass, in no particular key.

Holds count twice, as everywhere. A breath takes a little of the note before it. A staggered breath
takes nothing: the others sing on. A short note (staccato) sounds for half its length. Grace notes
take no time in the score: they are sung just before the beat (common practice), in time that the
note or the rest before them gives up. A note to which a glide leads sounds on from there, unless it
has a syllable of its own: a siren is one sound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import zip_longest
from math import lcm

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.staves import staves
from chorus_handbook.music.score import (
    Degree,
    Meter,
    Note,
    Part,
    Rest,
    Score,
    SpokenHeight,
)
from chorus_handbook.sound.levels import Levels, between, gain

#: Ticks a beat. The least makes breaths smooth; beyond the most, times are rounded to it: only
#: sevenths, elevenths and the like of one beat in one exercise need more.
LEAST_TICKS, MOST_TICKS = 48, 10_080
#: What a breath takes of the note before it, in beats and as a share of the note.
BREATH_BEATS, BREATH_SHARE = Fraction(1, 4), Fraction(1, 3)
#: A grace note is so short a part of a beat; together they take no more of the note before them
#: than this share.
GRACE_BEATS, GRACE_SHARE = Fraction(1, 8), Fraction(1, 2)
#: The count before the first pass has at least so many beats, in whole bars; before a pickup, at
#: least so many, which reach up to it; in free meter just so many.
LEAST_COUNT_IN, LEAST_BEFORE_PICKUP, FREE_COUNT_IN = 3, 2, 4
#: Decibels by which an accented note is louder: our choice, half a sign's step and more.
_WEIGHT = {"accent": 2.0, "marcato": 3.0}


@dataclass(frozen=True, slots=True)
class Glide:
    """From `start`, in ticks after the note's onset, the voice glides so that it arrives on
    `semitones` (one for each of the note's own) when the note ends."""

    start: int
    semitones: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Grace:
    """A quick note before another: `before` ticks ahead of its onset, for `length` ticks."""

    before: int
    length: int
    semitones: int


@dataclass(frozen=True, slots=True)
class TimedNote:
    """One attack. `at` and `length` are ticks; `length` is how long it sounds, `written` how long
    it would without a breath or a dot. `semitones` are above the key's tonic in octave 0, highest
    first, several where the voice divides, none where it speaks; `degrees` are the same as they
    are spelled, the voice's octave included. `drawn` is the id of the written note. `level` is 0 to
    1, and moves as `swell` says: pairs of a tick after the onset and the level then reached, evenly
    in decibels. A `joined` note is not struck: the glide before it leads into it."""

    id: str
    drawn: str
    at: int
    length: int
    written: int
    semitones: tuple[int, ...]
    degrees: tuple[Degree, ...]
    level: float
    spoken: SpokenHeight | None = None
    glide: Glide | None = None
    syllable: str | None = None
    graces: tuple[Grace, ...] = ()
    swell: tuple[tuple[int, float], ...] = ()
    joined: bool = False

    @property
    def end(self) -> int:
        return self.at + self.length


@dataclass(frozen=True, slots=True)
class TimedVoice:
    """One voice: its name and label in chorus.yml, its octave, and its notes in time."""

    name: str
    label: str
    octave: int
    notes: tuple[TimedNote, ...]

    @property
    def sounds(self) -> Iterator[tuple[TimedNote, ...]]:
        """The notes that are one sound: each that is struck, with those that glides join to it."""
        begins = [n for n, note in enumerate(self.notes) if not note.joined]
        for start, end in zip_longest(begins, begins[1:]):
            yield self.notes[start:end]


@dataclass(frozen=True, slots=True)
class Timed:
    """One pass. `length` and all times are ticks, `ticks` of them a beat. `count_in` is in beats:
    clicks fall on 0, 1, 2 ... below it, and the pass begins at its end. `bar` and `pickup` are in
    beats too; `bar` is 0 in free meter."""

    ticks: int
    length: int
    count_in: Fraction
    mode: str
    voices: tuple[TimedVoice, ...]
    bar: Fraction = Fraction(0)
    pickup: Fraction = Fraction(0)

    @property
    def sung(self) -> tuple[TimedNote, ...]:
        """All notes with a pitch, voice by voice."""
        return tuple(note for voice in self.voices for note in voice.notes if note.semitones)


def in_time(score: Score, chorus: Chorus) -> Timed:
    """The score as it sounds."""
    sounding, beat = score.sounding(), score.meter.beat

    @cache  # voices sing together, so most moments come up once a voice
    def beats(moment: Fraction) -> Fraction:
        return sounding(moment) / beat

    ticks = _ticks(beats(moment) for part in score.parts for moment in _moments(part))

    def tick(moment: Fraction) -> int:
        return round(beats(moment) * ticks)

    drawn = _drawn_ids(score, chorus)
    voices = tuple(
        TimedVoice(
            part.voice,
            chorus.label_of(part.voice),
            part.octave,
            tuple(_notes(part, score.mode, drawn, ticks, tick)),
        )
        for part in score.parts
    )
    length = tick(score.length)
    bar, pickup = score.meter.bar / beat, score.pickup / beat
    count = count_in(score.meter, score.pickup)
    return Timed(ticks, length, count, score.mode, voices, bar, pickup)


def count_in(meter: Meter, pickup: Fraction) -> Fraction:
    """Beats that are counted before the first note, so that counting on reaches the first full bar
    on its first beat (common practice): 4/4 has 4, with a pickup of one beat 3, of two beats 2, of
    three beats 5; 2/4 has 4, two bars."""
    if meter.free:
        return Fraction(FREE_COUNT_IN)
    bar = meter.bar / meter.beat
    count = bar - pickup / meter.beat
    while count < (LEAST_BEFORE_PICKUP if pickup else LEAST_COUNT_IN):
        count += bar
    return count


def _ticks(moments: Iterable[Fraction]) -> int:
    """The fewest ticks a beat that make all moments whole."""
    ticks = LEAST_TICKS
    for moment in moments:
        ticks = lcm(ticks, moment.denominator)
        if ticks > MOST_TICKS:
            return MOST_TICKS
    return ticks


def _moments(part: Part) -> Iterator[Fraction]:
    for event in part.events:
        yield event.onset
        yield event.end
        if isinstance(event, Note) and event.glide_at:
            yield event.onset + event.glide_at


def _drawn_ids(score: Score, chorus: Chorus) -> dict[str, str]:
    """The id under which each note is drawn. Voices on one staff are drawn once, as the first of
    them; a file from a notation editor says itself how it is drawn."""
    if score.file:
        return {note.id: note.drawn or note.id for part in score.parts for note in part.notes}
    return {
        note.id: first.drawn or first.id
        for staff in staves(score, chorus)
        for part in staff.parts
        for first, note in zip(staff.part.notes, part.notes, strict=True)
    }


def _notes(
    part: Part, mode: str, drawn: Mapping[str, str], ticks: int, tick: Callable[[Fraction], int]
) -> Iterator[TimedNote]:
    levels = Levels(part.dynamics)
    before = (None, *part.events)
    ahead: TimedNote | None = None
    for last, event, following in zip_longest(before, part.events, part.events[1:]):
        if not isinstance(event, Note):
            continue
        at = tick(event.onset)
        written = max(tick(event.end) - at, 1)
        length = written
        if "staccato" in event.accents:
            length = max(written // 2, 1)
        elif event.breath == "breath" and isinstance(following, Note):
            length -= int(min(BREATH_BEATS * ticks, BREATH_SHARE * written))
        room = sum(grace.length for grace in _graces(event, following, part, mode, ticks, tick))
        length = min(length, written - room)
        weight = gain(max((_WEIGHT.get(accent, 0.0) for accent in event.accents), default=0.0))
        first = event.syllables[0] if event.syllables else None
        level = round(min(weight * levels.at(event.onset), 1.0), 3)
        ahead = TimedNote(
            event.id,
            drawn.get(event.id, event.id),
            at,
            length,
            written,
            _semitones(event, part, mode),
            tuple(Degree(d.steps + 7 * part.octave, d.alter) for d in _degrees(event)),
            level,
            event.spoken,
            _glide(event, following, part, mode, length, tick),
            first.text if first else None,
            _graces(last, event, part, mode, ticks, tick),
            _swell(event, levels, level, weight, length, tick),
            _is_joined(ahead, event, at, last),
        )
        yield ahead


def _is_joined(ahead: TimedNote | None, event: Note, at: int, last: Note | Rest | None) -> bool:
    """Whether a note goes on sounding from the one before it, which glides to it."""
    if ahead is None or ahead.glide is None or not isinstance(last, Note) or ahead.end != at:
        return False
    return len(_degrees(event)) == len(ahead.semitones) and not any(event.syllables)


def _swell(
    event: Note,
    levels: Levels,
    level: float,
    weight: float,
    length: int,
    tick: Callable[[Fraction], int],
) -> tuple[tuple[int, float], ...]:
    """Where the level of a note moves while it sounds, from `level` at its onset."""
    at, points = tick(event.onset), [(0, level)]
    for moment, before, after in levels.course(event.onset, event.end):
        here = tick(moment) - at
        points.append((here, round(min(weight * before, 1.0), 3)))
        if after != before:  # a sign within the note: a jump, but no click
            points.append((here + 1, round(min(weight * after, 1.0), 3)))
    if len({one for _, one in points}) == 1:
        return ()
    kept = [point for point in points[1:] if point[0] <= length]
    cut = len(kept) + 1
    if cut < len(points) and (not kept or kept[-1][0] < length):
        (start, first), (end, last) = points[cut - 1], points[cut]
        kept.append((length, between(first, last, (length - start) / (end - start))))
    return tuple(kept)


def _graces(
    last: Note | Rest | None,
    event: Note | Rest | None,
    part: Part,
    mode: str,
    ticks: int,
    tick: Callable[[Fraction], int],
) -> tuple[Grace, ...]:
    """The grace notes between an event and the one before it; none where there is no room. At the
    very beginning they have the count-in."""
    if not isinstance(event, Note) or not event.graces:
        return ()
    each, count = GRACE_BEATS * ticks, len(event.graces)
    if last:
        share = GRACE_SHARE if isinstance(last, Note) else Fraction(1)
        each = min(each, share * (tick(last.end) - tick(last.onset)) / count)
    return tuple(
        Grace((count - place) * int(each), int(each), degree.semitones(mode) + 12 * part.octave)
        for place, degree in enumerate(event.graces)
        if each >= 1
    )


def _glide(
    event: Note,
    following: Note | Rest | None,
    part: Part,
    mode: str,
    length: int,
    tick: Callable[[Fraction], int],
) -> Glide | None:
    if event.glide_at is None or not isinstance(following, Note) or not following.degree:
        return None
    start = min(tick(event.onset + event.glide_at) - tick(event.onset), length)
    count = len(_degrees(event))
    goals = _semitones(following, part, mode)
    goals += goals[-1:] * (count - len(goals))
    return Glide(start, goals[:count])


def _degrees(note: Note) -> tuple[Degree, ...]:
    return (note.degree, *note.below) if note.degree else ()


def _semitones(note: Note, part: Part, mode: str) -> tuple[int, ...]:
    return tuple(degree.semitones(mode) + 12 * part.octave for degree in _degrees(note))
