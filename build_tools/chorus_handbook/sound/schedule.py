"""Decides what sounds when in a *run*: the exercise in all its keys, with count-in and chords
between keys.

The same rule runs in the browser (`browser/schedule.js`) on the same data (notes.json); both must
agree on the cases in `tests/cases/schedule`. Times are added as whole ticks and turned into seconds
only at the end, so that a long run does not drift.

A run begins with the chord of its first key (if requested, and if anybody sings) and the count-in:
a click on every beat, a different one on the first beat of a bar. Then come the keys from `first`
to `last`, each sung as often as its passes. Before every key but the first, its chord sounds for
`lead_in` beats, or clicks if nobody sings. Notes joined by a glide are one sound.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from operator import attrgetter
from typing import Any, Literal

from chorus_handbook.shared_facts import FACTS

_RUN = FACTS["run"]
#: How slow and how fast a run may be, in percent of the exercise's own tempo.
SLOWEST, FASTEST = 50, 150

#: A note of notes.json.
_Note = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class PlaybackOptions:
    """How a run is played.

    tempo: a factor on the tempo of the exercise, 0.5 to 1.5.
    first, last: the indexes of the first and the last key; None for the last key of the exercise.
    passes: how often each key is sung; None for as often as the exercise says. (A key in a loop is
        played as one key with many passes.)
    count_in: whether clicks count in before the first key.
    chord_first: whether the run begins with the chord of the first key.
    just: whether it is in just intonation; otherwise it is in equal temperament.
    """

    tempo: float = 1.0
    first: int = 0
    last: int | None = None
    passes: int | None = None
    count_in: bool = True
    chord_first: bool = False
    just: bool = False

    @property
    def suffix(self) -> str:
        """What the name of an MP3 file has before ".mp3" if it is not as usual: "-80-percent" for
        another tempo, then "-just" for just intonation. Empty for the exercise's own tempo in equal
        temperament."""
        percent = round(100 * self.tempo)
        return ("" if percent == 100 else f"-{percent}-percent") + ("-just" if self.just else "")


@dataclass(frozen=True, slots=True)
class Glide:
    """A glide: from the second `start` to the second `end` of the run, the pitch moves evenly to
    the MIDI number `midi`."""

    start: float
    end: float
    midi: float


@dataclass(frozen=True, slots=True)
class Event:
    """One sound.

    at, length: when it begins and how long it lasts, in seconds of the run.
    kind: whether it is a note, a click, or a note of the chord that leads to a key.
    key: the index of the key.
    voice, id: those of the note; None for clicks and chords between keys. Where a voice divides,
        each pitch is an event of its own.
    midi: its pitch as a MIDI number, with cents as the fraction; None for clicks.
    level: how loud it is, from 0 to 1.
    spoken: for a spoken beat, the height of the click.
    one: whether it is a click on the first beat of a bar.
    glides: where its pitch changes.
    swell: the seconds at which the level changes direction, each with the level reached there; in
        between it changes evenly in decibels.
    joined: the seconds at which the sound becomes another note of the voice, each with the id of
        that note.
    """

    at: float
    length: float
    kind: Literal["note", "click", "lead"]
    key: int
    voice: str | None = None
    id: str | None = None
    midi: float | None = None
    level: float = _RUN["count"]
    spoken: str | None = None
    one: bool = False
    glides: tuple[Glide, ...] = ()
    swell: tuple[tuple[float, float], ...] = ()
    joined: tuple[tuple[float, str], ...] = ()

    def scaled(self, second: float) -> Event:
        """The same event with times in seconds, if its times are in ticks and a tick lasts `second`
        seconds."""
        return replace(
            self,
            at=self.at * second,
            length=self.length * second,
            glides=tuple(Glide(g.start * second, g.end * second, g.midi) for g in self.glides),
            swell=tuple((tick * second, level) for tick, level in self.swell),
            joined=tuple((tick * second, id_) for tick, id_ in self.joined),
        )


def schedule(notes: Mapping[str, Any], options: PlaybackOptions) -> list[Event]:
    """All sounds of a run of the exercise whose notes.json is `notes`, by the time at which they
    begin; those that begin together are in the order of the voices."""
    run = _Run(notes, options)
    return [event.scaled(run.second) for event in sorted(run.events(), key=attrgetter("at"))]


def run_seconds(notes: Mapping[str, Any], options: PlaybackOptions) -> float:
    """The length of a run in seconds, to the end of its last pass."""
    run = _Run(notes, options)
    return run.begin(run.keys[-1] + 1) * run.second


def in_keys(notes: Mapping[str, Any], tonics: Sequence[str]) -> dict[str, Any]:
    """A copy of `notes` with only the keys on these tonics, in this order, such as ["Db4", "C4"].
    Tonics that are not among its keys are left out."""
    places = {one["key"]: place for place, one in enumerate(notes["keys"])}
    wanted = [places[tonic] for tonic in tonics if tonic in places]
    return {**notes} | {name: [notes[name][n] for n in wanted] for name in ("keys", "lead_chord")}


class _Run:
    """One run. Its times are in ticks; `second` is the length of a tick in seconds. `opening` is
    the length of the chord with which it begins, `lead` that of the chord between two keys."""

    def __init__(self, notes: Mapping[str, Any], options: PlaybackOptions) -> None:
        self.notes, self.just = notes, options.just
        self.beat: int = notes["ticks_per_beat"]
        self.second = float(60 / (notes["tempo"] * options.tempo * self.beat))
        last = len(notes["keys"]) - 1 if options.last is None else options.last
        self.keys = range(options.first, last + 1)
        self.passes: int = notes["passes"] if options.passes is None else options.passes
        self.lead: int = notes["lead_in"] * self.beat
        self.opening, self.count_in = 0, 0
        if options.chord_first and notes["lead_cents"]:
            self.opening = self.lead or _RUN["opening_chord_beats"] * self.beat
        if options.count_in:
            self.count_in = round(notes["count_in"] * self.beat)

    def begin(self, key: int) -> int:
        """The tick at which the passes of a key begin. For the key after the last one, which has
        no chord before it, the end of the run."""
        before = key - self.keys.start
        leads = min(before, len(self.keys) - 1)
        passed: int = before * self.passes * self.notes["length"]
        return self.opening + self.count_in + passed + leads * self.lead

    def events(self) -> Iterator[Event]:
        """All sounds, in no particular order."""
        if self.opening:
            yield from self._chord(self.keys.start, 0, self.opening)
        yield from self._clicks(self.keys.start, self.opening, self.count_in)
        for key in self.keys:
            begin = self.begin(key)
            if key > self.keys.start and self.lead:
                yield from self._chord(key, begin - self.lead, self.lead)
            for turn in range(self.passes):
                yield from self._pass(key, begin + turn * self.notes["length"])

    def _clicks(self, key: int, at: int, length: int) -> Iterator[Event]:
        """A click on every beat until a pass begins. Bars are counted back from its first full
        one."""
        bar = round(self.notes["bar"] * self.beat)
        first_bar = at + length + round(self.notes["pickup"] * self.beat)
        for tick in range(at, at + length, self.beat):
            one = bar > 0 and (first_bar - tick) % bar == 0
            yield Event(tick, 0, "click", key, level=_RUN["one" if one else "count"], one=one)

    def _chord(self, key: int, at: int, length: int) -> Iterator[Event]:
        chord = self.notes["lead_chord"][key]
        if not chord:
            yield from self._clicks(key, at, length)
        for semitones, cents in zip(chord, self.notes["lead_cents"], strict=True):
            midi = self._midi(key, semitones, cents)
            yield Event(at, length, "lead", key, midi=midi, level=_RUN["chord"])

    def _pass(self, key: int, begin: int) -> Iterator[Event]:
        for voice in self.notes["voices"]:
            starts = [n for n, note in enumerate(voice["notes"]) if not note.get("joined")]
            for start, end in zip_longest(starts, starts[1:]):
                chain = voice["notes"][start:end]
                following = voice["notes"][end] if end is not None else None
                yield from self._sound(key, begin, voice["name"], chain, following)

    def _sound(
        self, key: int, begin: int, voice: str, chain: Sequence[_Note], following: _Note | None
    ) -> Iterator[Event]:
        """The events of one sound, and of the grace notes before it. A sound is a `chain` of notes,
        each gliding into the next; most chains have one note. `following` is the note after the
        chain, if there is one; `key` is the index of the key, `begin` the tick at which the pass
        begins."""
        note, last = chain[0], chain[-1]
        event = Event(begin + note["at"], note["length"], "note", key, voice, note["id"])
        event = replace(event, level=note["level"])
        yield from self._graces(event, note)
        if "spoken" in note:
            yield replace(event, kind="click", spoken=note["spoken"])
        swell = tuple(_swell(chain, begin))
        joined = tuple((begin + one["at"], one["id"]) for one in chain[1:])
        length = last["at"] + last["length"] - note["at"]
        for place, semitones in enumerate(note["semitones"]):
            midi = self._midi(key, semitones, note["cents"][place])
            glides = []
            for one, after in zip_longest(chain, [*chain[1:], following]):
                if "glide" in one:
                    start, goals = one["glide"]
                    cents = after["cents"] if after and after["cents"] else [0.0]
                    goal = self._midi(key, goals[place], cents[min(place, len(cents) - 1)])
                    at = begin + one["at"]
                    glides.append(Glide(at + start, at + one["length"], goal))
            yield replace(
                event, length=length, midi=midi, glides=tuple(glides), swell=swell, joined=joined
            )

    def _graces(self, event: Event, note: _Note) -> Iterator[Event]:
        """The grace notes before a note; those that would begin before the run are left out. They
        are equal-tempered in every tuning, because they are too short to be tuned."""
        for place, (before, length, semitones) in enumerate(note.get("graces", ()), 1):
            if before <= event.at:
                midi, own = self._midi(event.key, semitones, 0.0), f"{note['id']}.g{place}"
                yield replace(event, at=event.at - before, length=length, id=own, midi=midi)

    def _midi(self, key: int, semitones: int, cents: float) -> float:
        tonic: float = self.notes["keys"][key]["midi"]
        return float(tonic + semitones + (cents / 100 if self.just else 0))


def _swell(chain: Sequence[_Note], begin: int) -> Iterator[tuple[int, float]]:
    """The ticks at which the level of a sound changes course, and the levels there. Where a joined
    note begins at another level than the note before it has reached, the change takes one tick."""
    level = chain[0]["level"]
    for note in chain:
        at = begin + note["at"]
        if note["level"] != level:
            yield at, level
            yield at + 1, note["level"]
        level = note["level"]
        for tick, reached in note.get("swell", ()):
            yield at + tick, reached
            level = reached
