"""Computes just intonation: how far each note of an exercise lies from equal temperament.

A note keeps one pitch from its beginning to its end, as a singer's does. By default every pitch
makes a just interval with the tonic, and every chord sustained for a beat or more is pure in
itself, tuned from its own root. The roots make just intervals with the tonic too, so that the key
does not drift, however often a passage is repeated. A note sustained from an earlier chord keeps
its pitch, and may then be a comma (21.5 cents) off. An exercise can be tuned to one voice instead,
or have its roots written out.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from operator import attrgetter, itemgetter
from types import MappingProxyType

from chorus_handbook.catalogue import N_, _, inside
from chorus_handbook.music.chord_names import PitchClass, interval_above, intervals_above
from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import interval_name
from chorus_handbook.sound.chords import (
    SoundingChord,
    chord_root,
    classes_of,
    sounding_at,
    sustained_chords,
)
from chorus_handbook.sound.ratios import (
    HARMONIC_SEVENTH,
    SECOND_VALUES,
    away,
    chord_ratio,
    scale_ratio,
)
from chorus_handbook.sound.timed import TimedNote, TimedPass

TONIC, BASS = "tonic", "bass"
#: Two pitches count as the same if they differ by fewer cents than this.
_SAME = 0.01
#: The most cents that a pure seventh may lie from the same note in the scale. 7/4 above 5 is 64/63
#: (27.3 cents) below 4; above 3 and 6 it would be 49 cents below 2 and 5, too far to count as the
#: same notes.
_MOST_BENT = 30.0
#: Which pitches are equal-tempered, in words for readers.
_DESCRIPTIONS = {
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
_BY_VOICE_DESCRIPTION = N_(
    "Fixed: every note of the {voice}, at its equal-tempered pitch. Every other note is tuned to "
    "it when it begins, and to the tonic while the {voice} is silent; a held note keeps its pitch."
)
_BY_ROOTS_DESCRIPTION = N_(
    "Fixed: the tonic, at its equal-tempered pitch. The roots that are written out are tuned in "
    "just intonation from it, and every note from the root beneath it when it begins; a held note "
    "keeps its pitch."
)

#: Maps the id of each note to how many cents each of its pitches lies above equal temperament.
Cents = Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class Tuned:
    """The tuning of an exercise.

    to: what its notes are tuned to: "tonic", "bass", "roots", or the name of a voice.
    description: a text for readers that says which pitches are those of equal temperament.
    cents: how far each note lies from equal temperament.
    """

    to: str
    description: str
    cents: Cents = field(default_factory=lambda: MappingProxyType({}))


def tune(timed: TimedPass, to: str = TONIC, roots: Sequence[tuple[int, Degree]] = ()) -> Tuned:
    """Tune an exercise, sung once through. `to` is "tonic", "bass" (the lowest note at each moment)
    or the name of a voice. If there are `roots`, each with the tick at which it begins, the notes
    are tuned to these instead."""
    if roots:
        return Tuned("roots", _(_BY_ROOTS_DESCRIPTION), _by_roots(timed, roots))
    if to == TONIC:
        return Tuned(to, _(_DESCRIPTIONS[to]), _by_tonic(timed))
    if to == BASS:
        return Tuned(to, _(_DESCRIPTIONS[to]), _by_voice(timed, timed.sung))
    label, notes = next(((v.label, v.notes) for v in timed.voices if v.name == to), (to, ()))
    description = _(_BY_VOICE_DESCRIPTION, voice=inside(label))
    return Tuned(to, description, _by_voice(timed, tuple(note for note in notes if note.semitones)))


def _scale(one: PitchClass) -> float:
    """The cents of a note as a degree of the tonic's scale."""
    return away(scale_ratio(*one), one[1])


def _rounded(found: Mapping[str, Sequence[float]]) -> Cents:
    """The cents of all notes, rounded to two decimals."""
    # Adding 0.0 turns -0.0 into 0.0.
    return MappingProxyType({n: tuple(round(c, 2) + 0.0 for c in cs) for n, cs in found.items()})


def _by_tonic(timed: TimedPass) -> Cents:
    """Tune sustained chords from their roots, and all other notes to the tonic."""
    fixed: dict[str, tuple[float, ...]] = {}
    for chord in sustained_chords(timed):
        pure = _pure(chord, fixed)
        for note in chord.notes:
            if pure and note.id not in fixed:
                fixed[note.id] = tuple(pure[one] for one in classes_of(note))
    for note in timed.sung:
        fixed.setdefault(note.id, tuple(map(_scale, classes_of(note))))
    return _rounded(fixed)


def _pure(chord: SoundingChord, fixed: Mapping[str, Sequence[float]]) -> dict[PitchClass, float]:
    """The cents of the notes of a chord that is pure in itself, by pitch class; empty if the chord
    has no root. `fixed` has the notes that were tuned before, keyed by id.

    If its root may have two values (`_values`), we take the value that lets more of the notes held
    from an earlier chord keep their pitch; if both let as many, the value for which more notes
    agree with the scale."""
    pitches = chord.pitches
    classes = {one for _pitch, one in pitches}
    root = chord_root(classes, pitches[0][1])
    if root is None:
        return {}
    sustained = [
        (one, cents)
        for note in chord.notes
        if note.id in fixed
        for one, cents in zip(classes_of(note), fixed[note.id], strict=True)
    ]

    def agreements(pure: dict[PitchClass, float]) -> tuple[int, int]:
        return (
            sum(abs(pure[one] - cents) < _SAME for one, cents in sustained),
            sum(abs(cents - _scale(one)) < _SAME for one, cents in pure.items()),
        )

    return max((_from_root(root, value, classes) for value in _values(root)), key=agreements)


def _values(root: PitchClass) -> list[float]:
    """The cents that a root may have: those of its degree in the scale, then, for a few degrees, of
    a second value a comma away."""
    second = SECOND_VALUES.get(interval_name(*root))
    return [_scale(root), *([away(second, root[1])] if second else [])]


def _from_root(root: PitchClass, cents: float, classes: set[PitchClass]) -> dict[PitchClass, float]:
    """The cents of the pitch classes in `classes` above a root that is `cents` from equal
    temperament itself: as members of its chord, or else as degrees of its scale."""
    names = intervals_above(root, classes)
    found = {}
    for one in classes:
        interval = interval_above(root, one)
        ratio = chord_ratio(*interval, names) or scale_ratio(*interval)
        found[one] = cents + away(ratio, interval[1])
        if ratio == HARMONIC_SEVENTH:
            found[one] = _seventh(one, found[one])
    return found


def _seventh(degree: PitchClass, pure: float) -> float:
    """The cents of the seventh of a chord with a major third. It is pure, except where it is the
    tonic, or would lie too far from the scale's own pitch: both keep that pitch."""
    usual = _scale(degree)
    too_far = abs(pure - usual) > _MOST_BENT
    return usual if degree == (0, 0) or too_far else pure


def _by_roots(timed: TimedPass, roots: Sequence[tuple[int, Degree]]) -> Cents:
    """Tune every note to the root that is written out for the moment at which it begins."""
    found = {}
    together = sounding_at(timed.sung, (note.at for note in timed.sung))
    for note in timed.sung:
        degree = roots[bisect_right(roots, note.at, key=itemgetter(0)) - 1][1]
        root = degree.steps % 7, degree.semitones(timed.mode) % 12
        sounding = {p for other in together[note.at] for p in classes_of(other)}
        pure = _from_root(root, _scale(root), sounding)
        found[note.id] = tuple(pure[one] for one in classes_of(note))
    return _rounded(found)


def _by_voice(timed: TimedPass, leading: Sequence[TimedNote]) -> Cents:
    """Tune every note to the lowest of the leading notes that sound when it begins."""
    fixed: dict[str, tuple[float, ...]] = {}
    together = sounding_at(leading, (note.at for note in timed.sung))
    for note in sorted(timed.sung, key=attrgetter("at")):
        # of two leading notes of the same pitch, the one that is tuned already
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
            fixed[note.id] = tuple(map(_scale, classes_of(note)))
            continue
        semitones, _first, steps, cents = lowest
        fixed[note.id] = tuple(
            cents + _apart(degree.steps - steps, own - semitones)
            for own, degree in zip(note.semitones, note.degrees, strict=True)
        )
    return _rounded(fixed)


def _of(fixed: Mapping[str, Sequence[float]], note: TimedNote, place: int) -> float:
    """The cents of the pitch with the index `place` in a leading note: 0, equal-tempered, until the
    note has been tuned itself."""
    return fixed[note.id][place] if note.id in fixed else 0.0


def _apart(steps: int, semitones: int) -> float:
    """By how many cents a just interval differs from equal temperament. A downward interval is
    computed as its inversion upward."""
    return away(scale_ratio(steps % 7, semitones % 12), semitones)
