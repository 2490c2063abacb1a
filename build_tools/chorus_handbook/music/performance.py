"""Puts one voice in time: makes the notes that are sung from those that are written.

Written notes that are tied become one; marks such as hairpins get a beginning and an end; syllables
are chosen for each repeat. `ensemble` calls this for every voice.
"""

from __future__ import annotations

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
    """One voice in time. `events` are its notes and rests without gaps up to `end` (in quarters).
    Their ids are set later, by `numbered`. `place` is where the voice begins in the file."""

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
    """Put the segments of a voice in time, one after another. Returns the result and the problems.

    `place` is where the voice begins in the file, `onset` the moment (in quarters) at which it
    starts, `octave` that of its part, and `verses` its number of lines of words. Words are chosen
    for each time that the exercise is sung through; times without new words are dropped, unless
    `all_passes` is set, because the author wrote out the words of each.
    """
    # so many passes use up all verses; -(-a // b) rounds a / b up
    passes = max((-(-verses // segment.repetitions) for segment in segments), default=0)
    performer = _Performer(Performance(place, end=onset), key, octave, verses, passes)
    for _, together in groupby(segments, key=lambda segment: (segment.ending, segment.repetition)):
        ending = list(together)
        own_verses = _verses_of(ending)
        for segment in ending:
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
    """Adds written notes and marks to a performance, one after another."""

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
        self, tone: WrittenNote, segment: PlayedSegment, own_verses: Collection[int] = ()
    ) -> None:
        """Add the next written note. If it is in an ending of a repeat, `own_verses` are the verses
        that have words in this ending."""
        onset = self.performance.end
        self.performance.end += tone.duration
        fermatas = (Span(onset, tone.duration),) if tone.fermata else ()
        breath: Breath | None = None
        if tone.breath:
            breath = "staggered" if tone.staggered else "breath"
        if self._tied and self._goes_on(self._tied, tone):
            self._prolong(tone, onset, fermatas, breath)
        elif tone.silent:
            self.performance.events.append(
                Rest(onset, tone.duration, fermatas, breath, tone.hidden)
            )
        else:
            words = tuple(_syllables(tone, segment, own_verses, self.verses, self.passes))
            self.performance.events.append(self._struck(tone, words, onset, fermatas, breath))
        self._slurs.take(tone, len(self.performance.events) - 1)
        if tone.tie and breath == "breath":
            self._complain(
                tone.breath or tone.place,
                "There is a breath mark inside a tied note.",
                "Delete the tie, or move the breath after the last of the tied notes.",
            )
        self._tied = tone if tone.tie else None

    def _struck(
        self,
        tone: WrittenNote,
        words: tuple[Syllable | None, ...],
        onset: Fraction,
        fermatas: tuple[Span, ...],
        breath: Breath | None,
    ) -> Note:
        """The sung note that begins with this written note."""
        return Note(
            id="",
            onset=onset,
            duration=tone.duration,
            degree=self._degree(tone.pitch) if tone.pitch else None,
            spoken=None if tone.pitch else tone.spoken,
            syllables=words,
            glide_at=Fraction(0) if tone.glide else None,
            easy=tone.easy,
            fermatas=fermatas,
            breath=breath,
            below=tuple(map(self._degree, tone.below)),
            graces=tuple(map(self._degree, tone.graces)),
            accents=tone.accents,
            drawn=tone.id or None,
            place=tone.place,
        )

    def _prolong(
        self, tone: WrittenNote, onset: Fraction, fermatas: tuple[Span, ...], breath: Breath | None
    ) -> None:
        """Make the last note or rest longer by a written note that is tied to it, whose own grace
        notes and accents do not count."""
        before = self.performance.events[-1]
        duration, fermatas = before.duration + tone.duration, before.fermatas + fermatas
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
            glide_at=offset if tone.glide and before.glide_at is None else before.glide_at,
        )
        error = _check_tied(tone)
        if error:
            self.problems.append(error)

    def _degree(self, pitch: Pitch) -> Degree:
        return self.key.degree(pitch, self.octave)

    def _goes_on(self, before: WrittenNote, tone: WrittenNote) -> bool:
        """Whether the tie of the note `before` can join it to `tone`. If it cannot, it is reported,
        unless the tie is `loose`."""
        if before.sounds_like(tone):
            return True
        if before.loose:
            return False
        if before.sound[:1] == tone.sound[:1] and (before.below or tone.below):
            self._complain(
                before.tie or before.place,
                "This tie joins only some of the notes that are sung together here.",
                "Write the same notes on both sides of the tie, or delete the tie.",
            )
            return False
        self._tie_leads_nowhere(before, "a rest" if tone.silent else "another note")
        return False

    def _tie_leads_nowhere(self, tone: WrittenNote, where: str) -> None:
        if tone.tie:
            self._complain(
                tone.tie,
                f"This tie leads to {where}, not to the same note.",
                "A tie joins two notes of one pitch; a slur over several is written ( ).",
            )

    def mark(self, mark: Mark) -> None:
        """Add a dynamic, or the beginning or end of a hairpin, at this moment."""
        now = self.performance.end
        if mark.sign not in HAIRPIN_SIGNS:
            self._end_hairpin(now)
            self.performance.dynamics.append(Dynamic(now, mark.sign))
        elif mark.sign[1] == "(":
            self._end_hairpin(now)
            self._hairpin, self._hairpin_onset = mark, now
        elif self._hairpin and self._hairpin.sign[0] == mark.sign[0]:
            self._end_hairpin(now)
        else:
            self._complain(
                mark.place,
                "There is no open hairpin of this kind here.",
                f"Write !{mark.sign[0]}(! before the note at which it begins.",
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
            self._tie_leads_nowhere(self._tied, "nothing")
        if self._hairpin:
            sign = self._hairpin.sign
            self._complain(
                self._hairpin.place,
                "This hairpin never ends.",
                f"Write !{sign[0]})! after its last note.",
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
    """The verses that have words in these segments, if they are an ending of a repeat."""
    tones = (
        e
        for segment in segments
        for e in segment.piece.events
        if segment.ending and isinstance(e, WrittenNote)
    )
    return {verse for tone in tones for verse, word in enumerate(tone.words) if word}


def _syllables(
    tone: WrittenNote, segment: PlayedSegment, own_verses: Collection[int], verses: int, passes: int
) -> Iterator[Syllable | None]:
    """The syllables of a written note in each pass. A repeat uses one verse after another, and
    begins again after the last (ABC standard 2.1, section 5.2)."""
    for number in range(passes):
        verse = (number * segment.repetitions + segment.repetition) % verses
        # An ending is sung once in a pass, and mostly has words in one verse only.
        if segment.ending and verse not in own_verses and len(own_verses) == 1:
            (verse,) = own_verses
        yield tone.words[verse] if verse < len(tone.words) else None


def _check_tied(tone: WrittenNote) -> Problem | None:
    """The problem of a syllable in the middle of a tied note, if there is one."""
    syllable = next((s for s in tone.words if s), None)
    if syllable is None:
        return None
    return Problem(
        tone.place,
        "syllable-count",
        f"The syllable {shown(syllable.text)} is under a note that is tied to the one before, so "
        "it cannot be sung.",
        "Put it under the first of the tied notes. In ABC each of them counts: write _ under the "
        "second.",
    )
