"""What sounds when in a whole run: the count-in, every pass in every key, the chords between keys.

The rule works on the data of notes.json and runs in the browser as well (`browser/schedule.js`);
tests/cases/schedule holds both to the same numbers. Moments are added up in whole ticks and turned
into seconds only at the end, so that no run drifts, however long it is.

A run begins with the first key's chord, if that is wished for and anybody sings, and the count-in:
a click on every beat. Then come the keys from `first` to `last`, each with its passes. Before every
key but the first its chord sounds for `lead_in` beats; where nobody sings, clicks take its place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from operator import attrgetter
from typing import Any, Literal

Kind = Literal["note", "click", "lead"]
#: The levels of clicks without a note, and of the chord between keys.
CLICK_LEVEL, LEAD_LEVEL = 0.5, 0.6
#: Beats of the first key's chord where the exercise has no lead-ins.
OPENING_CHORD = 4


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
    `spoken` is the height of a click that stands for a spoken beat."""

    at: float
    length: float
    kind: Kind
    key: int
    voice: str | None
    id: str | None
    midi: float | None
    level: float
    glide: Glide | None = None
    spoken: str | None = None


@dataclass(frozen=True, slots=True)
class _Placed:
    """An event in ticks."""

    at: int
    length: int
    kind: Kind
    key: int
    voice: str | None = None
    id: str | None = None
    midi: float | None = None
    level: float = CLICK_LEVEL
    glide: tuple[int, float] | None = None
    spoken: str | None = None


def schedule(notes: Mapping[str, Any], settings: Settings) -> list[Event]:
    """All sounds of a run, in order; those that begin together stand in the order of the voices."""
    second = seconds_a_tick(notes, settings)
    events = []
    for one in sorted(_run(notes, settings), key=attrgetter("at")):
        end = one.at + one.length
        glide = None
        if one.glide:
            start, midi = one.glide
            glide = Glide((one.at + start) * second, end * second, midi)
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
                glide,
                one.spoken,
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
    chord = (notes["lead_in"] or OPENING_CHORD) * beat if sings else 0
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
    yield from _clicks(keys.start, chord, count_in, beat)
    lead = notes["lead_in"] * beat
    for key in keys:
        begin = _begin(notes, settings, key)
        if key > keys.start and lead:
            yield from _lead(notes, settings, key, begin - lead, lead)
        for turn in range(passes):
            yield from _pass(notes, settings, key, begin + turn * length)


def _clicks(key: int, at: int, length: int, beat: int) -> Iterator[_Placed]:
    for tick in range(at, at + length, beat):
        yield _Placed(tick, 0, "click", key)


def _lead(
    notes: Mapping[str, Any], settings: Settings, key: int, at: int, length: int
) -> Iterator[_Placed]:
    chord = notes["lead_chord"][key]
    if not chord:
        yield from _clicks(key, at, length, notes["ticks_per_beat"])
    for semitones, cents in zip(chord, notes["lead_cents"], strict=True):
        midi = _midi(notes, settings, key, semitones, cents)
        yield _Placed(at, length, "lead", key, midi=midi, level=LEAD_LEVEL)


def _pass(notes: Mapping[str, Any], settings: Settings, key: int, begin: int) -> Iterator[_Placed]:
    for voice in notes["voices"]:
        for note, after in zip_longest(voice["notes"], voice["notes"][1:]):
            at, length, name = begin + note["at"], note["length"], voice["name"]
            yield from _graces(notes, settings, key, at, name, note)
            if "spoken" in note:
                yield _Placed(
                    at,
                    length,
                    "click",
                    key,
                    name,
                    note["id"],
                    level=note["level"],
                    spoken=note["spoken"],
                )
            for place, semitones in enumerate(note["semitones"]):
                midi = _midi(notes, settings, key, semitones, note["cents"][place])
                glide = None
                if "glide" in note:
                    start, goals = note["glide"]
                    cents = after["cents"] if after and after["cents"] else [0.0]
                    goal = cents[min(place, len(cents) - 1)]
                    glide = start, _midi(notes, settings, key, goals[place], goal)
                yield _Placed(at, length, "note", key, name, note["id"], midi, note["level"], glide)


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
