"""What sounds when in a whole run: the count-in, every pass in every key, the chords between keys.

The rule works on the data of notes.json and runs in the browser as well (`browser/schedule.js`);
tests/cases/schedule holds both to the same numbers. Moments are added up in whole ticks and turned
into seconds only at the end, so that no run drifts, however long it is.

A run begins with the first key's chord, if that is asked for and anybody sings, and the count-in:
a click on every beat, another on the first beat of a bar. Then come the keys from `first` to
`last`, each with its passes. Before every key but the first its chord sounds for `lead_in` beats;
where nobody sings, clicks take its place. Notes that a glide joins are one sound.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from operator import attrgetter
from typing import Any, Literal

from chorus_handbook.shared_facts import FACTS

Kind = Literal["note", "click", "lead"]
_RUN = FACTS["run"]
#: How slow and how fast a run may be, in percent of the exercise's own tempo.
SLOWEST, FASTEST = 50, 150


@dataclass(frozen=True, slots=True)
class Settings:
    """How a run is played. `tempo` multiplies the exercise's own, 0.5 to 1.5. `first` and `last`
    are places among its keys. `passes` takes the place of the exercise's own number: a loop is one
    key with as many passes as are wanted. `chord_first`: the run begins on the first key's chord.
    `just`: just intonation, else equal temperament."""

    tempo: float = 1.0
    first: int = 0
    last: int | None = None
    passes: int | None = None
    count_in: bool = True
    chord_first: bool = False
    just: bool = False


@dataclass(frozen=True, slots=True)
class Glide:
    """From second `start` to second `end` of the run the pitch moves evenly to `midi`."""

    start: float
    end: float
    midi: float


@dataclass(frozen=True, slots=True)
class Event:
    """One sound. `at` and `length` are seconds of the run, `key` a place among the exercise's keys,
    `midi` a MIDI number with its cents behind the point; None for clicks. `voice` and `id` are
    those of the note, None where it is nobody's. A voice that divides has an event a pitch.
    `spoken` is the height of a click that stands for a spoken beat, `one` whether a click falls on
    the first beat of a bar. `swell`: seconds of the run and the levels reached at them, evenly in
    decibels. `joined`: seconds from which it is other notes of the voice, with their ids."""

    at: float
    length: float
    kind: Kind
    key: int
    voice: str | None
    id: str | None
    midi: float | None
    level: float
    spoken: str | None = None
    one: bool = False
    glides: tuple[Glide, ...] = ()
    swell: tuple[tuple[float, float], ...] = ()
    joined: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class _Placed:
    """An event in ticks; a glide is its start, end and goal."""

    at: int
    length: int
    kind: Kind
    key: int
    voice: str | None = None
    id: str | None = None
    midi: float | None = None
    level: float = _RUN["count"]
    spoken: str | None = None
    one: bool = False
    glides: tuple[tuple[int, int, float], ...] = ()
    swell: tuple[tuple[int, float], ...] = ()
    joined: tuple[tuple[int, str], ...] = ()


def schedule(notes: Mapping[str, Any], settings: Settings) -> list[Event]:
    """All sounds of a run, in order; those that begin together stand in the order of the voices."""
    second = seconds_a_tick(notes, settings)
    events = []
    for one in sorted(_run(notes, settings), key=attrgetter("at")):
        events.append(
            Event(
                one.at * second,
                one.length * second,
                one.kind,
                one.key,
                one.voice,
                one.id,
                one.midi,
                one.level,
                one.spoken,
                one.one,
                tuple(Glide(start * second, end * second, midi) for start, end, midi in one.glides),
                tuple((tick * second, level) for tick, level in one.swell),
                tuple((tick * second, id_) for tick, id_ in one.joined),
            )
        )
    return events


def seconds_a_tick(notes: Mapping[str, Any], settings: Settings) -> float:
    """How long a tick lasts at the tempo that is set."""
    return float(60 / (notes["tempo"] * settings.tempo * notes["ticks_per_beat"]))


def run_seconds(notes: Mapping[str, Any], settings: Settings) -> float:
    """The length of a run, to the end of its last pass."""
    return _begin(notes, settings, _keys(notes, settings)[-1] + 1) * seconds_a_tick(notes, settings)


def _keys(notes: Mapping[str, Any], settings: Settings) -> range:
    last = len(notes["keys"]) - 1 if settings.last is None else settings.last
    return range(settings.first, last + 1)


def _opening(notes: Mapping[str, Any], settings: Settings) -> tuple[int, int]:
    """Ticks of the chord at the beginning, and of the count-in."""
    beat = notes["ticks_per_beat"]
    sings = settings.chord_first and notes["lead_cents"]
    chord = (notes["lead_in"] or _RUN["opening_chord_beats"]) * beat if sings else 0
    return chord, round(notes["count_in"] * beat) if settings.count_in else 0


def _begin(notes: Mapping[str, Any], settings: Settings, key: int) -> int:
    """The tick at which the passes of a key begin, or would after the last one (no chord)."""
    keys = _keys(notes, settings)
    before = key - keys.start
    passes = notes["passes"] if settings.passes is None else settings.passes
    leads = min(before, len(keys) - 1)
    lead = notes["lead_in"] * notes["ticks_per_beat"]
    passed = before * passes * notes["length"]
    return int(sum(_opening(notes, settings)) + passed + leads * lead)


def _run(notes: Mapping[str, Any], settings: Settings) -> Iterator[_Placed]:
    beat, length = notes["ticks_per_beat"], notes["length"]
    keys = _keys(notes, settings)
    passes = notes["passes"] if settings.passes is None else settings.passes
    chord, count_in = _opening(notes, settings)
    if chord:
        yield from _lead(notes, settings, keys.start, 0, chord)
    yield from _clicks(notes, keys.start, chord, count_in)
    lead = notes["lead_in"] * beat
    for key in keys:
        begin = _begin(notes, settings, key)
        if key > keys.start and lead:
            yield from _lead(notes, settings, key, begin - lead, lead)
        for turn in range(passes):
            yield from _pass(notes, settings, key, begin + turn * length)


def _clicks(notes: Mapping[str, Any], key: int, at: int, length: int) -> Iterator[_Placed]:
    """A click a beat, up to where a pass begins. Bars are counted back from its first full one."""
    beat = notes["ticks_per_beat"]
    bar, first_bar = round(notes["bar"] * beat), at + length + round(notes["pickup"] * beat)
    for tick in range(at, at + length, beat):
        one = bar > 0 and (first_bar - tick) % bar == 0
        level = _RUN["one"] if one else _RUN["count"]
        yield _Placed(tick, 0, "click", key, level=level, one=one)


def _lead(
    notes: Mapping[str, Any], settings: Settings, key: int, at: int, length: int
) -> Iterator[_Placed]:
    chord = notes["lead_chord"][key]
    if not chord:
        yield from _clicks(notes, key, at, length)
    for semitones, cents in zip(chord, notes["lead_cents"], strict=True):
        midi = _midi(notes, settings, key, semitones, cents)
        yield _Placed(at, length, "lead", key, midi=midi, level=_RUN["chord"])


def _pass(notes: Mapping[str, Any], settings: Settings, key: int, begin: int) -> Iterator[_Placed]:
    for voice in notes["voices"]:
        starts = [n for n, note in enumerate(voice["notes"]) if not note.get("joined")]
        for start, end in zip_longest(starts, starts[1:]):
            chain = voice["notes"][start:end]
            after = voice["notes"][end] if end is not None else None
            yield from _sound(notes, settings, key, begin, voice["name"], chain, after)


def _sound(
    notes: Mapping[str, Any],
    settings: Settings,
    key: int,
    begin: int,
    voice: str,
    chain: Sequence[Mapping[str, Any]],
    after: Mapping[str, Any] | None,
) -> Iterator[_Placed]:
    """A note, with those that glides join to it, and the note `after` them."""
    note, last = chain[0], chain[-1]
    at, level = begin + note["at"], note["level"]
    yield from _graces(notes, settings, key, at, voice, note)
    if "spoken" in note:
        length, spoken = note["length"], note["spoken"]
        yield _Placed(at, length, "click", key, voice, note["id"], level=level, spoken=spoken)
    swell = tuple(_swell(chain, begin))
    joined = tuple((begin + one["at"], one["id"]) for one in chain[1:])
    for place, semitones in enumerate(note["semitones"]):
        midi = _midi(notes, settings, key, semitones, note["cents"][place])
        glides = []
        for one, following in zip_longest(chain, [*chain[1:], after]):
            if "glide" in one:
                start, goals = one["glide"]
                cents = following["cents"] if following and following["cents"] else [0.0]
                goal = cents[min(place, len(cents) - 1)]
                reached = _midi(notes, settings, key, goals[place], goal)
                from_ = begin + one["at"]
                glides.append((from_ + start, from_ + one["length"], reached))
        yield _Placed(
            at,
            last["at"] + last["length"] - note["at"],
            "note",
            key,
            voice,
            note["id"],
            midi,
            level,
            glides=tuple(glides),
            swell=swell,
            joined=joined,
        )


def _swell(chain: Sequence[Mapping[str, Any]], begin: int) -> Iterator[tuple[int, float]]:
    """How the level of a sound moves. Where a joined note has another level than the one before it
    has come to, it is reached within a tick."""
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


def _graces(
    notes: Mapping[str, Any],
    settings: Settings,
    key: int,
    at: int,
    voice: str,
    note: Mapping[str, Any],
) -> Iterator[_Placed]:
    """The quick notes before a note; none where the run has not begun yet. In every tuning they are
    equal-tempered: they are too short to be tuned."""
    for place, (before, length, semitones) in enumerate(note.get("graces", ()), 1):
        if before <= at:
            midi, own = _midi(notes, settings, key, semitones, 0.0), f"{note['id']}.g{place}"
            yield _Placed(at - before, length, "note", key, voice, own, midi, note["level"])


def _midi(
    notes: Mapping[str, Any], settings: Settings, key: int, semitones: int, cents: float
) -> float:
    return float(notes["keys"][key]["midi"] + semitones + (cents / 100 if settings.just else 0))
