"""Turns the notes that are written for one voice into the notes that are sung, each with its time.

Written notes that are tied become one sung note; marks such as hairpins get a beginning and an end;
each time that a repeat is sung, it gets the syllables of its own verse. `ensemble` calls `sing` for
every voice.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import count, groupby

from chorus_handbook.music.score import Breath, Degree, Dynamic, Note, Rest, Span, Syllable
from chorus_handbook.music.slurs import Slurs
from chorus_handbook.music.unfold import PlayedSegment
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import HAIRPIN_SIGNS, Key, Mark, WrittenNote
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem


@dataclass(slots=True)
class Performance:
    """One voice as it is sung.

    place: where the voice begins in the file.
    events: its notes and rests, without gaps, up to the moment `end` (in quarters). The notes get
        their ids later, from `numbered`.
    """

    place: Place
    events: list[Note | Rest] = field(default_factory=list)
    dynamics: list[Dynamic] = field(default_factory=list)
    slurs: tuple[Span, ...] = ()
    end: Fraction = Fraction(0)

    @property
    def attacks(self) -> int:
        """How many notes are sung or spoken; tied notes count once."""
        return sum(isinstance(event, Note) for event in self.events)


def sing(
    segments: Sequence[PlayedSegment],
    place: Place,
    key: Key,
    octave: int,
    verses: int,
    onset: Fraction = Fraction(0),
    *,
    all_passes: bool = False,
) -> tuple[Performance, list[Problem]]:
    """Give the notes of a voice their times. Returns the result and the problems.

    segments: the pieces of music between two bar lines, in the order in which they are sung.
    place: where the voice begins in the file.
    key: the key in which the voice is written.
    octave: the octave of its part.
    verses: its number of lines of words.
    onset: the moment, in quarters, at which it starts.
    all_passes: whether to keep words for every pass (each time that the exercise is sung through),
        because the author wrote them out for each. Otherwise the last passes are dropped if their
        words are those of the first.
    """
    # so many passes are needed to sing all verses
    passes = max((math.ceil(verses / segment.repetitions) for segment in segments), default=0)
    performer = _Performer(Performance(place, end=onset), key, octave, verses, passes)
    for _, group in groupby(segments, key=lambda segment: (segment.ending, segment.repetition)):
        together = list(group)  # an ending of a repeat, or the music between two endings
        own_verses = _verses_of(together)
        for segment in together:
            for event in segment.piece.events:
                if isinstance(event, WrittenNote):
                    performer.sound(event, segment, own_verses)
                else:
                    performer.mark(event)
    performer.finish()
    if not all_passes:
        performer.drop_passes()
    return performer.performance, performer.problems


def numbered(events: Iterable[Note | Rest], voice: str) -> Iterator[Note | Rest]:
    """The events of one voice, each note with an id: the voice and a running number ("alto-3")."""
    number = count(1)
    for event in events:
        yield replace(event, id=f"{voice}-{next(number)}") if isinstance(event, Note) else event


@dataclass(slots=True)
class _Performer:
    """Adds written notes and marks to a performance, one after another. `verses` is the number of
    lines of words, `passes` how often the exercise has to be sung through to sing all of them."""

    performance: Performance
    key: Key
    octave: int
    verses: int
    passes: int
    problems: list[Problem] = field(default_factory=list)
    _tied: WrittenNote | None = None  # the note before, if it is tied to the next one
    _hairpin: Mark | None = None
    _hairpin_onset: Fraction = Fraction(0)
    _slurs: Slurs = field(default_factory=Slurs)

    def sound(
        self, note: WrittenNote, segment: PlayedSegment, own_verses: Collection[int] = ()
    ) -> None:
        """Add the next written note. If it is in an ending of a repeat, `own_verses` are the verses
        that have words in this ending."""
        onset = self.performance.end
        self.performance.end += note.duration
        fermatas = (Span(onset, note.duration),) if note.fermata else ()
        breath: Breath | None = None
        if note.breath:
            breath = "staggered" if note.staggered else "breath"
        if self._tied and self._joins(self._tied, note):
            self._prolong(note, onset, fermatas, breath)
        elif note.silent:
            self.performance.events.append(
                Rest(onset, note.duration, fermatas, breath, note.hidden)
            )
        else:
            words = tuple(_syllables(note, segment, own_verses, self.verses, self.passes))
            self.performance.events.append(self._sung_note(note, words, onset, fermatas, breath))
        self._slurs.take(note, len(self.performance.events) - 1)
        if note.tie and breath == "breath":
            self._complain(
                note.breath or note.place,
                "There is a breath mark inside a tied note.",
                "Delete the tie, or move the breath after the last of the tied notes.",
            )
        self._tied = note if note.tie else None

    def _sung_note(
        self,
        note: WrittenNote,
        words: tuple[Syllable | None, ...],
        onset: Fraction,
        fermatas: tuple[Span, ...],
        breath: Breath | None,
    ) -> Note:
        """The sung note that begins with this written note."""
        return Note(
            id="",
            onset=onset,
            duration=note.duration,
            degree=self._degree(note.pitch) if note.pitch else None,
            spoken=None if note.pitch else note.spoken,
            syllables=words,
            glide_at=Fraction(0) if note.glide else None,
            easy=note.easy,
            fermatas=fermatas,
            breath=breath,
            below=tuple(map(self._degree, note.below)),
            graces=tuple(map(self._degree, note.graces)),
            accents=note.accents,
            drawn=note.id or None,
            place=note.place,
        )

    def _prolong(
        self, note: WrittenNote, onset: Fraction, fermatas: tuple[Span, ...], breath: Breath | None
    ) -> None:
        """Make the last note or rest longer by a written note that is tied to it. Grace notes and
        accents of the written note do not count."""
        before = self.performance.events[-1]
        duration, fermatas = before.duration + note.duration, before.fermatas + fermatas
        if isinstance(before, Rest):
            self.performance.events[-1] = replace(
                before, duration=duration, fermatas=fermatas, breath=breath or before.breath
            )
            return
        offset = onset - before.onset
        inside = (offset,) if before.breath == "staggered" else ()
        self.performance.events[-1] = replace(
            before,
            duration=duration,
            fermatas=fermatas,
            breath=breath or (None if inside else before.breath),
            staggered=before.staggered + inside,
            glide_at=offset if note.glide and before.glide_at is None else before.glide_at,
        )
        error = _check_tied(note)
        if error:
            self.problems.append(error)

    def _degree(self, pitch: Pitch) -> Degree:
        return self.key.degree(pitch, self.octave)

    def _joins(self, before: WrittenNote, note: WrittenNote) -> bool:
        """Whether the tie of the note `before` can join it to `note`. If it cannot, this is
        reported, unless the tie is `loose`: then it counts only for some times of a repeat."""
        if before.sounds_like(note):
            return True
        if before.loose:
            return False
        if before.sound[:1] == note.sound[:1] and (before.below or note.below):
            self._complain(
                before.tie or before.place,
                "This tie joins only some of the notes that are sung together here.",
                "Write the same notes on both sides of the tie, or delete the tie.",
            )
            return False
        self._report_tie(before, "a rest" if note.silent else "another note")
        return False

    def _report_tie(self, note: WrittenNote, leads_to: str) -> None:
        if note.tie:
            self._complain(
                note.tie,
                f"This tie leads to {leads_to}, but a tie joins two notes of one pitch.",
                "Write the same note after the tie, or delete the tie. For a slur over several "
                'notes, write "(" before the first and ")" after the last.',
            )

    def mark(self, mark: Mark) -> None:
        """Add a dynamic, or the beginning or end of a hairpin, at this moment."""
        now = self.performance.end
        if mark.sign not in HAIRPIN_SIGNS:
            self._end_hairpin(now)
            self.performance.dynamics.append(Dynamic(now, mark.sign))
        elif mark.sign.endswith("("):
            self._end_hairpin(now)
            self._hairpin, self._hairpin_onset = mark, now
        elif self._hairpin and self._hairpin.sign[0] == mark.sign[0]:
            self._end_hairpin(now)
        else:
            self._complain(
                mark.place,
                "A hairpin ends here that has not begun.",
                f'Write "!{mark.sign[0]}(!" before the note at which it begins.',
            )

    def _end_hairpin(self, now: Fraction) -> None:
        if self._hairpin:
            if now > self._hairpin_onset:
                sign = self._hairpin.sign[0]
                self.performance.dynamics.append(Dynamic(self._hairpin_onset, sign, now))
            else:
                self._complain(
                    self._hairpin.place,
                    "This hairpin begins and ends at the same moment.",
                    "Write its beginning before the first note and its end after the last.",
                )
        self._hairpin = None

    def finish(self) -> None:
        """Report ties and hairpins that were never ended, and complete the voice."""
        if self._tied and not self._tied.loose:
            self._report_tie(self._tied, "nothing")
        if self._hairpin:
            sign = self._hairpin.sign
            self._complain(
                self._hairpin.place,
                "This hairpin never ends.",
                f'Write "!{sign[0]})!" after its last note.',
            )
        self.performance.dynamics.sort(key=lambda dynamic: dynamic.onset)
        self.performance.slurs = self._slurs.spans(self.performance.events)
        self._drop_glides()

    def _drop_glides(self) -> None:
        """Remove glides that are not followed by a sung note."""
        events = self.performance.events
        for n, event in enumerate(events):
            goal = events[n + 1] if n + 1 < len(events) else None
            leads_on = isinstance(goal, Note) and goal.degree is not None
            if isinstance(event, Note) and event.glide_at is not None and not leads_on:
                events[n] = replace(event, glide_at=None)

    def drop_passes(self) -> None:
        """Remove the words of the last passes when they are the same as in the first."""
        notes = [event for event in self.performance.events if isinstance(event, Note)]
        needed = self.passes
        while needed > 1 and all(n.syllables[needed - 1] in (None, n.syllables[0]) for n in notes):
            needed -= 1
        if needed < self.passes:
            self.performance.events = [
                replace(event, syllables=event.syllables[:needed])
                if isinstance(event, Note)
                else event
                for event in self.performance.events
            ]

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(place, "notation-token", message, hint))


def _verses_of(segments: Sequence[PlayedSegment]) -> set[int]:
    """The verses (from 0) that have words in these segments, if they are an ending of a repeat;
    otherwise none."""
    notes = (
        event
        for segment in segments
        for event in segment.piece.events
        if segment.ending and isinstance(event, WrittenNote)
    )
    return {verse for note in notes for verse, word in enumerate(note.words) if word}


def _syllables(
    note: WrittenNote, segment: PlayedSegment, own_verses: Collection[int], verses: int, passes: int
) -> Iterator[Syllable | None]:
    """The syllables of a written note in each pass. A repeat uses one verse after another, and
    begins again after the last (ABC standard 2.1, section 5.2)."""
    for number in range(passes):
        verse = (number * segment.repetitions + segment.repetition) % verses
        # An ending is sung once in a pass, and mostly has words in one verse only.
        if segment.ending and verse not in own_verses and len(own_verses) == 1:
            (verse,) = own_verses
        yield note.words[verse] if verse < len(note.words) else None


def _check_tied(note: WrittenNote) -> Problem | None:
    """The problem of a syllable in the middle of a tied note, if there is one."""
    syllable = next((s for s in note.words if s), None)
    if syllable is None:
        return None
    return Problem(
        note.place,
        "syllable-count",
        f"The syllable {shown(syllable.text)} is under a note that is tied to the note before, so "
        "it cannot be sung.",
        "Put it under the first of the tied notes. In ABC each of the tied notes takes a syllable "
        'or a sign: write "_" for the second.',
    )
