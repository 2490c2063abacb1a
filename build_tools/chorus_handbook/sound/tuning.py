"""Just intonation: how far each note lies from equal temperament, and what is held fixed.

A note has one pitch from its beginning to its end, as a singer's has. By default pitches are just
above the tonic, and every chord that stands for a beat is pure in itself, tuned from its own root;
the roots lie above the tonic, so that nothing drifts however often a passage comes round. A note
that is held from an earlier chord stays where it is, and may then lie a comma (21.5 cents) off.
An exercise may be tuned to one voice instead, or its roots may be written out.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from operator import attrgetter, itemgetter
from types import MappingProxyType

from chorus_handbook.catalogue import N_, _, inside
from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import interval_name
from chorus_handbook.sound.chord_root import PitchClass, above, chord_root, members
from chorus_handbook.sound.ratios import (
    HARMONIC_SEVENTH,
    SECOND_VALUES,
    away,
    chord_ratio,
    scale_ratio,
)
from chorus_handbook.sound.standing import Chord, sounding_at, standing_chords
from chorus_handbook.sound.timed import Timed, TimedNote

TONIC, BASS = "tonic", "bass"
#: Cents that are told apart.
_SAME = 0.01
#: How far a pure seventh may lie from the scale: 7/4 over 5 is 64/63 (27.3 cents) below 4, but over
#: 3 and 6 it would lie 49 cents below 2 and 5, which nobody would call the same notes.
_MOST_BENT = 30.0
_TOLD = {
    TONIC: N_(
        "Fixed: the tonic, at its equal-tempered pitch. The scale is tuned in just intonation from "
        "it; a chord that lasts a beat or more is tuned from its own root. A held note keeps its "
        "pitch, so the key never drifts."
    ),
    BASS: N_(
        "Fixed: the lowest note, at its equal-tempered pitch. Every other note is tuned to it when "
        "it begins; a held note keeps its pitch."
    ),
}
_TOLD_VOICE = N_(
    "Fixed: every note of the {voice}, at its equal-tempered pitch. Every other note is tuned to "
    "it when it begins, and to the tonic while the {voice} is silent; a held note keeps its pitch."
)
_TOLD_ROOTS = N_(
    "Fixed: the tonic, at its equal-tempered pitch. The roots that are written out are tuned in "
    "just intonation from it, and every note from the root beneath it when it begins; a held note "
    "keeps its pitch."
)

Cents = Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class Tuned:
    """Cents against equal temperament by note id, one for each of a note's pitches. `to` is what
    the notes are tuned to ("tonic", "bass", a voice, "roots"), `told` what is held fixed."""

    to: str
    told: str
    cents: Cents = field(default_factory=lambda: MappingProxyType({}))


def tune(timed: Timed, to: str = TONIC, roots: Sequence[tuple[int, Degree]] = ()) -> Tuned:
    """Tune a pass. `to` is "tonic", "bass" (the lowest note at the time) or a voice; with `roots`,
    pairs of a tick and the root from there on, it does not matter."""
    if roots:
        return Tuned("roots", _(_TOLD_ROOTS), _by_roots(timed, roots))
    if to == TONIC:
        return Tuned(to, _(_TOLD[to]), _by_tonic(timed))
    if to == BASS:
        return Tuned(to, _(_TOLD[to]), _by_voice(timed, timed.sung))
    label, notes = next(((v.label, v.notes) for v in timed.voices if v.name == to), (to, ()))
    told = _(_TOLD_VOICE, voice=inside(label))
    return Tuned(to, told, _by_voice(timed, tuple(note for note in notes if note.semitones)))


def _classes(note: TimedNote) -> tuple[PitchClass, ...]:
    """A note's pitches without their octaves."""
    return tuple(
        (degree.steps % 7, semitones % 12)
        for degree, semitones in zip(note.degrees, note.semitones, strict=True)
    )


def _scale(one: PitchClass) -> float:
    return away(scale_ratio(*one), one[1])


def _rounded(found: Mapping[str, Sequence[float]]) -> Cents:
    # Adding nought makes a nought of minus nought.
    return MappingProxyType({n: tuple(round(c, 2) + 0.0 for c in cs) for n, cs in found.items()})


def _by_tonic(timed: Timed) -> Cents:
    fixed: dict[str, tuple[float, ...]] = {}
    for chord in standing_chords(timed):
        pure = _pure(chord, fixed)
        for note in chord.notes:
            if pure and note.id not in fixed:
                fixed[note.id] = tuple(pure[one] for one in _classes(note))
    for note in timed.sung:
        fixed.setdefault(note.id, tuple(map(_scale, _classes(note))))
    return _rounded(fixed)


def _pure(chord: Chord, fixed: Mapping[str, Sequence[float]]) -> dict[PitchClass, float]:
    """The cents of a chord's notes when it is pure; nothing where it has no root. Of the values
    that its root may have, the one is taken that suits most of the notes held from before, then
    most of the scale above the tonic."""
    pitches = [
        (semitones, one)
        for note in chord.notes
        for semitones, one in zip(note.semitones, _classes(note), strict=True)
    ]
    classes = {one for _pitch, one in pitches}
    root = chord_root(classes, min(pitches)[1])
    if root is None:
        return {}
    held = [
        (one, cents)
        for note in chord.notes
        if note.id in fixed
        for one, cents in zip(_classes(note), fixed[note.id], strict=True)
    ]

    def suits(pure: dict[PitchClass, float]) -> tuple[int, int]:
        return (
            sum(abs(pure[one] - cents) < _SAME for one, cents in held),
            sum(abs(cents - _scale(one)) < _SAME for one, cents in pure.items()),
        )

    return max((_from_root(root, value, classes) for value in _values(root)), key=suits)


def _values(root: PitchClass) -> list[float]:
    """The cents that a root may have, that of the scale first."""
    second = SECOND_VALUES.get(interval_name(*root))
    return [_scale(root), *([away(second, root[1])] if second else [])]


def _from_root(root: PitchClass, cents: float, classes: set[PitchClass]) -> dict[PitchClass, float]:
    """Every note above a root: as a member of its chord, or else as a degree of its scale."""
    names = members(root, classes)
    found = {}
    for one in classes:
        interval = above(root, one)
        ratio = chord_ratio(*interval, names) or scale_ratio(*interval)
        found[one] = cents + away(ratio, interval[1])
        if ratio == HARMONIC_SEVENTH:
            found[one] = _seventh(one, found[one])
    return found


def _seventh(degree: PitchClass, pure: float) -> float:
    """Where the seventh of a chord with a major third lies: where it is pure, but the tonic itself,
    and what would be bent too far, where the scale has it."""
    usual = _scale(degree)
    bent = degree == (0, 0) or abs(pure - usual) > _MOST_BENT
    return usual if bent else pure


def _by_roots(timed: Timed, roots: Sequence[tuple[int, Degree]]) -> Cents:
    found = {}
    together = sounding_at(timed.sung, (note.at for note in timed.sung))
    for note in timed.sung:
        degree = roots[bisect_right(roots, note.at, key=itemgetter(0)) - 1][1]
        root = degree.steps % 7, degree.semitones(timed.mode) % 12
        sounding = {p for other in together[note.at] for p in _classes(other)}
        pure = _from_root(root, _scale(root), sounding)
        found[note.id] = tuple(pure[one] for one in _classes(note))
    return _rounded(found)


def _by_voice(timed: Timed, leading: Sequence[TimedNote]) -> Cents:
    """Every note to the lowest of the leading notes that sound as it begins."""
    fixed: dict[str, tuple[float, ...]] = {}
    together = sounding_at(leading, (note.at for note in timed.sung))
    for note in sorted(timed.sung, key=attrgetter("at")):
        lowest = min(
            (
                (semitones, lead.id not in fixed, degree.steps, _of(fixed, lead, place))
                for lead in together[note.at]
                for place, (semitones, degree) in enumerate(
                    zip(lead.semitones, lead.degrees, strict=True)
                )
            ),
            default=None,
        )
        if lowest is None:
            fixed[note.id] = tuple(map(_scale, _classes(note)))
            continue
        semitones, _first, steps, cents = lowest
        fixed[note.id] = tuple(
            cents + _apart(degree.steps - steps, own - semitones)
            for own, degree in zip(note.semitones, note.degrees, strict=True)
        )
    return _rounded(fixed)


def _of(fixed: Mapping[str, Sequence[float]], note: TimedNote, place: int) -> float:
    """The cents of a note that leads: its equal-tempered pitch while it has not been tuned."""
    return fixed[note.id][place] if note.id in fixed else 0.0


def _apart(steps: int, semitones: int) -> float:
    """The cents of a just interval, upward or downward, against equal temperament: that of an
    interval downward is that of its inversion upward."""
    return away(scale_ratio(steps % 7, semitones % 12), semitones)
