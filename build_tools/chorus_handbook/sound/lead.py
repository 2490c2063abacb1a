"""The chord on which the next key is given, and its just tuning.

It is the plain triad on the tonic, minor where the mode's third is, in the octave in which its
middle lies nearest to the middle of what is sung: in reach of every voice.
"""

from __future__ import annotations

from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import interval_name
from chorus_handbook.sound.ratios import away, chord_ratio
from chorus_handbook.sound.timed import Timed

_TRIAD = (Degree(0), Degree(2), Degree(4))


def lead_chord(timed: Timed) -> tuple[int, ...]:
    """Semitones above the tonic in octave 0; nothing where nobody sings."""
    sung = [semitone for note in timed.sung for semitone in note.semitones]
    if not sung:
        return ()
    triad = [degree.semitones(timed.mode) for degree in _TRIAD]
    middle = (min(sung) + max(sung)) / 2 - (triad[0] + triad[-1]) / 2
    octave = round(middle / 12)
    return tuple(semitone + 12 * octave for semitone in triad)


def lead_cents(timed: Timed) -> tuple[float, ...]:
    """How far each note of the chord lies from equal temperament when it is pure."""
    if not timed.sung:
        return ()
    triad = [(degree.steps, degree.semitones(timed.mode)) for degree in _TRIAD]
    names = frozenset(interval_name(*one) for one in triad)
    ratios = [(chord_ratio(*one, names), one[1]) for one in triad]
    return tuple(round(away(ratio, semitones), 2) for ratio, semitones in ratios if ratio)
