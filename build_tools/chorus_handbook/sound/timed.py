"""Gives every note of a score the time at which it sounds, in whole ticks, for one pass of the
score without a particular key.

A fermata doubles the length of its note. A breath shortens the note before it a little; a staggered
breath does not, because the other singers go on. A staccato note sounds for half its length. Grace
notes are sung just before the beat (common practice) and take their time from the note before them.
A note at the end of a glide continues the sound, unless it has a syllable of its own.
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
from chorus_handbook.music.score import Degree, Meter, Note, Part, Rest, Score, SpokenHeight
from chorus_handbook.sound.levels import Levels, between, gain

#: The fewest ticks in a beat: enough for breaths of a fraction of a beat.
LEAST_TICKS = 48
#: The most ticks in a beat. Times that would need more are rounded; only exercises that divide
#: beats into both sevenths and elevenths have such times.
MOST_TICKS = 10_080
#: The most that a breath takes from the note before it: in beats, and as a share of that note.
BREATH_BEATS, BREATH_SHARE = Fraction(1, 4), Fraction(1, 3)
#: The longest grace note, in beats, and the largest share of the note before that all graces take.
GRACE_BEATS, GRACE_SHARE = Fraction(1, 8), Fraction(1, 2)
#: The fewest beats of a count-in of whole bars, and of one that leads up to a pickup.
LEAST_COUNT_IN, LEAST_BEFORE_PICKUP = 3, 2
#: The beats of a count-in in free meter.
FREE_COUNT_IN = 4
#: Decibels that an accent adds: our choice, from half the 3 dB between two dynamics upward.
_ACCENT = {"accent": 2.0, "marcato": 3.0}


@dataclass(frozen=True, slots=True)
class TimedGlide:
    """A glide from `start`, in ticks after the note's onset, to the end of the note, where it
    arrives on `semitones` above the tonic, one for each pitch of the note."""

    start: int
    semitones: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Grace:
    """A grace note that begins `before` ticks ahead of its note's onset and lasts `length` ticks;
    `semitones` are above the tonic."""

    before: int
    length: int
    semitones: int


@dataclass(frozen=True, slots=True)
class TimedNote:
    """One note in time.

    at, length: in ticks; `length` is how long it sounds, `written` how long it would sound without
        a breath or a staccato dot.
    semitones: above the tonic that the key names (C4, say), highest first; several when the voice
        divides, none when it speaks.
    degrees: the same pitches as they are spelled, in the voice's octave.
    drawn: the id of the note in the drawing.
    level: from 0 to 1. `swell`: the ticks after the onset at which the level changes direction,
        with the level reached there; in between it changes evenly in decibels.
    joined: it has no attack of its own, because the glide before it leads into it.
    ends_phrase: a breath or a rest follows. A staggered breath ends no phrase.
    """

    id: str
    drawn: str
    at: int
    length: int
    written: int
    semitones: tuple[int, ...]
    degrees: tuple[Degree, ...]
    level: float
    spoken: SpokenHeight | None = None
    glide: TimedGlide | None = None
    syllable: str | None = None
    graces: tuple[Grace, ...] = ()
    swell: tuple[tuple[int, float], ...] = ()
    joined: bool = False
    ends_phrase: bool = False

    @property
    def end(self) -> int:
        return self.at + self.length


@dataclass(frozen=True, slots=True)
class TimedVoice:
    """One voice: its name, label and octave in chorus.yml, and its notes in order."""

    name: str
    label: str
    octave: int
    notes: tuple[TimedNote, ...]

    @property
    def sounds(self) -> Iterator[tuple[TimedNote, ...]]:
        """The notes grouped into sounds: each attack with the notes into which it glides."""
        begins = [n for n, note in enumerate(self.notes) if not note.joined]
        for start, end in zip_longest(begins, begins[1:]):
            yield self.notes[start:end]


@dataclass(frozen=True, slots=True)
class TimedPass:
    """A whole exercise, once through.

    length: in ticks, like all times of its voices. `ticks`: how many of them make a beat.
    count_in, bar, pickup: in beats; `bar` is 0 in free meter.
    bars: the ticks at which bars begin, in the order of singing.
    """

    ticks: int
    length: int
    count_in: Fraction
    mode: str
    voices: tuple[TimedVoice, ...]
    bar: Fraction = Fraction(0)
    pickup: Fraction = Fraction(0)
    bars: tuple[int, ...] = (0,)

    @property
    def sung(self) -> tuple[TimedNote, ...]:
        """All notes with a pitch, voice by voice."""
        return tuple(note for voice in self.voices for note in voice.notes if note.semitones)


def in_time(score: Score, chorus: Chorus) -> TimedPass:
    """Give the notes of a score their times in one pass."""
    sounding, beat = score.sounding(), score.meter.beat

    @cache  # voices sing together, so each moment comes up in most of them
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
            tuple(_PartTimer(part, score.mode, ticks, tick, drawn).notes()),
        )
        for part in score.parts
    )
    length = tick(score.length)
    bar, pickup = score.meter.bar / beat, score.pickup / beat
    count = count_in(score.meter, score.pickup)
    bars = tuple(tick(start) for start in score.bar_starts)
    return TimedPass(ticks, length, count, score.mode, voices, bar, pickup, bars)


def count_in(meter: Meter, pickup: Fraction) -> Fraction:
    """The beats counted before the first note, such that the first full bar begins on "one" (common
    practice). In 4/4 these are 4, before a pickup of one beat 3, of two beats 2, of three beats 5;
    in 2/4 they are 4, two bars."""
    if meter.free:
        return Fraction(FREE_COUNT_IN)
    bar = meter.bar / meter.beat
    count = bar - pickup / meter.beat
    while count < (LEAST_BEFORE_PICKUP if pickup else LEAST_COUNT_IN):
        count += bar
    return count


def _ticks(moments: Iterable[Fraction]) -> int:
    """The fewest ticks in a beat such that all moments (in beats) fall on whole ticks."""
    ticks = LEAST_TICKS
    for moment in moments:
        ticks = lcm(ticks, moment.denominator)
        if ticks > MOST_TICKS:
            return MOST_TICKS
    return ticks


def _moments(part: Part) -> Iterator[Fraction]:
    """The moments of a part that need a tick: where its events begin and end, and glides begin."""
    for event in part.events:
        yield event.onset
        yield event.end
        if isinstance(event, Note) and event.glide_at:
            yield event.onset + event.glide_at


def _drawn_ids(score: Score, chorus: Chorus) -> dict[str, str]:
    """The id of the drawn note for the id of each note. Voices that share a staff have one drawn
    note; so have the notes of a round that are sung from the same line. Notes of a score file are
    drawn under their ids in that file."""
    notes = [note for part in score.parts for note in part.notes]
    if score.file:
        return {note.id: note.drawn or note.id for note in notes}
    written_ids = {
        note.id: written.id
        for staff in staves(score.written, chorus)
        for part in staff.parts
        for written, note in zip(staff.part.notes, part.notes, strict=True)
    }
    return {note.id: written_ids[note.drawn or note.id] for note in notes}


class _PartTimer:
    """Gives the notes of one part their times. `tick` gives the tick of a written moment, `drawn`
    the id under which each note is drawn."""

    def __init__(
        self,
        part: Part,
        mode: str,
        ticks: int,
        tick: Callable[[Fraction], int],
        drawn: Mapping[str, str],
    ) -> None:
        self._part, self._mode, self._ticks = part, mode, ticks
        self._tick, self._drawn = tick, drawn
        self._levels = Levels(part.dynamics)

    def notes(self) -> Iterator[TimedNote]:
        """The notes of the part with their times, in the order in which they are sung."""
        events = self._part.events
        timed: TimedNote | None = None
        for before, event, following in zip_longest((None, *events), events, events[1:]):
            if isinstance(event, Note):
                timed = self._note(before, event, following, timed)
                yield timed

    def _note(
        self,
        before: Note | Rest | None,
        event: Note,
        following: Note | Rest | None,
        timed_before: TimedNote | None,
    ) -> TimedNote:
        at = self._tick(event.onset)
        written = max(self._tick(event.end) - at, 1)
        length = written
        if "staccato" in event.accents:
            length = max(written // 2, 1)
        elif event.breath == "breath" and isinstance(following, Note):
            length -= int(min(BREATH_BEATS * self._ticks, BREATH_SHARE * written))
        for_graces = sum(grace.length for grace in self._graces(event, following))
        length = min(length, written - for_graces)
        accent = gain(max((_ACCENT.get(accent, 0.0) for accent in event.accents), default=0.0))
        first = event.syllables[0] if event.syllables else None
        level = round(min(accent * self._levels.at(event.onset), 1.0), 3)
        octave = self._part.octave
        return TimedNote(
            id=event.id,
            drawn=self._drawn.get(event.id, event.id),
            at=at,
            length=length,
            written=written,
            semitones=self._semitones(event),
            degrees=tuple(Degree(d.steps + 7 * octave, d.alter) for d in _degrees(event)),
            level=level,
            spoken=event.spoken,
            glide=self._glide(event, following, length),
            syllable=first.text if first else None,
            graces=self._graces(before, event),
            swell=self._swell(event, level, accent, length),
            joined=_is_joined(timed_before, event, at, before),
            ends_phrase=event.breath == "breath" or isinstance(following, Rest),
        )

    def _swell(
        self, event: Note, level: float, accent: float, length: int
    ) -> tuple[tuple[int, float], ...]:
        """How the level of a note changes while it sounds, as in `TimedNote.swell`; empty if it
        does not change. A level that jumps within a note is reached within a tick."""
        onset = self._tick(event.onset)
        points = [(0, level)]
        for moment, reached, onward in self._levels.course(event.onset, event.end):
            at = self._tick(moment) - onset
            points.append((at, round(min(accent * reached, 1.0), 3)))
            if onward != reached:
                points.append((at + 1, round(min(accent * onward, 1.0), 3)))
        if len({value for _, value in points}) == 1:
            return ()
        kept = [point for point in points[1:] if point[0] <= length]
        cut = len(kept) + 1  # the index of the first point after the end of the sound
        if cut < len(points) and (not kept or kept[-1][0] < length):
            (start, first), (end, last) = points[cut - 1], points[cut]
            kept.append((length, between(first, last, (length - start) / (end - start))))
        return tuple(kept)

    def _graces(self, before: Note | Rest | None, event: Note | Rest | None) -> tuple[Grace, ...]:
        """The grace notes of `event`, which take their time from the event `before` it; none if
        that is too short. Those of the first event fall into the count-in."""
        if not isinstance(event, Note) or not event.graces:
            return ()
        each, count = GRACE_BEATS * self._ticks, len(event.graces)
        if before:
            share = GRACE_SHARE if isinstance(before, Note) else Fraction(1)
            each = min(each, share * (self._tick(before.end) - self._tick(before.onset)) / count)
        return tuple(
            Grace((count - place) * int(each), int(each), self._above_tonic(degree))
            for place, degree in enumerate(event.graces)
            if each >= 1
        )

    def _glide(self, event: Note, following: Note | Rest | None, length: int) -> TimedGlide | None:
        if event.glide_at is None or not isinstance(following, Note) or not following.degree:
            return None
        onset = self._tick(event.onset)
        start = min(self._tick(event.onset + event.glide_at) - onset, length)
        count = len(_degrees(event))
        goals = self._semitones(following)
        goals += goals[-1:] * (count - len(goals))  # pitches without a goal go to the lowest
        return TimedGlide(start, goals[:count])

    def _semitones(self, note: Note) -> tuple[int, ...]:
        return tuple(map(self._above_tonic, _degrees(note)))

    def _above_tonic(self, degree: Degree) -> int:
        return degree.semitones(self._mode) + 12 * self._part.octave


def _is_joined(
    timed_before: TimedNote | None, event: Note, at: int, before: Note | Rest | None
) -> bool:
    """Whether the note `event` is not sung anew, because the note before glides into it."""
    if timed_before is None or timed_before.glide is None or not isinstance(before, Note):
        return False
    same_voices = len(_degrees(event)) == len(timed_before.semitones)
    return timed_before.end == at and same_voices and not any(event.syllables)


def _degrees(note: Note) -> tuple[Degree, ...]:
    """The pitches of a note, highest first; several if the voice divides there."""
    return (note.degree, *note.below) if note.degree else ()
