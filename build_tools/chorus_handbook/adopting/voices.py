"""Matches the voices of two choruses: decides which of our voices sings the line of which of
theirs, and by how many octaves the line is moved. "Theirs" is the chorus that the music was written
for, "ours" the chorus that will sing it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import product

from chorus_handbook.chorus.model import Chorus, Voice
from chorus_handbook.voices import Ladder

#: Two voices with the same clef match if both ends of their comfortable ranges differ by at most
#: this many semitones, a minor third. Sources differ by as much about one voice (our choice).
_NEAR = 3
#: The octaves by which a line may be moved, the preferred ones first.
_OCTAVES = (0, -1, 1)
#: With more lines than these, all move by the same octave: there would be too many ways to compare.
_MOST_COMPARED = 5
#: How far the keys may be moved at the same time, in semitones (half an octave).
_KEYS_MOVED = 6
#: The lowest and highest note of a line, then the lowest and highest note of the range into which
#: it should fit, as MIDI numbers.
_Span = tuple[int, int, int, int]


def match_voices(
    needed: Iterable[str], theirs: Chorus, ours: Chorus, given: Mapping[str, str]
) -> dict[str, str]:
    """Maps the `needed` voices of the other chorus to our voices: as `given` says, else to the
    voice with the same name or label, else to the only voice left with the same clef and nearly the
    same range. Voices that cannot be matched are not in the result."""
    found = dict(given)
    for voice in needed:
        if voice not in found and (same := _same_name(voice, theirs, ours)):
            found[voice] = same
    taken = set(found.values())
    alike = {
        voice: [
            name
            for name in ours.voices
            if name not in taken and _alike(theirs.voices[voice], ours.voices[name])
        ]
        for voice in needed
        if voice not in found
    }
    for voice, names in alike.items():
        if len(names) == 1 and sum(names[0] in others for others in alike.values()) == 1:
            found[voice] = names[0]
    return found


def in_score_order(needed: Iterable[str], ours: Chorus) -> dict[str, str] | None:
    """Our voice for each of the `needed` voices of the other chorus, in score order: the highest
    for the highest, and so on. None if we have too few voices."""
    voices = list(needed)
    return dict(zip(voices, ours.voices, strict=False)) if len(voices) <= len(ours.voices) else None


def suggested(missing: Iterable[str], ours: Chorus, taken: Collection[str]) -> dict[str, str]:
    """A guess for the voices of the other chorus that could not be matched (`missing`): those of
    our voices that are not `taken`, in score order. Voices for which none is left are not in the
    result."""
    left = [name for name in ours.voices if name not in taken]
    return dict(zip(missing, left, strict=False))


def octaves_between(
    voices: Mapping[str, str], ladder: Ladder | None, theirs: Chorus, ours: Chorus
) -> dict[str, int]:
    """By how many octaves to move the line of each voice of the other chorus (1 is an octave up).

    voices: maps each voice of the other chorus to ours. ladder: what the other chorus's voices sing
        in each key.

    The octaves are chosen so that the lines fit our voices' comfortable ranges as well as possible
    in the keys that suit best, which need not be the present ones. Among equally good choices, the
    one with the fewest different octaves is taken. Voices whose line is not moved are not in the
    result. It is empty if each voice has the same `octave` in chorus.yml as our voice for it.
    """
    rungs = ladder.rungs if ladder else ()
    spans: dict[str, _Span] = {}
    for old, new in voices.items():
        reaches = [rung.voices[old].reach for rung in rungs if old in rung.voices]
        if reaches:
            low, high = min(r.lowest for r in reaches), max(r.highest for r in reaches)
            comfortable = ours.voices[new].comfortable
            spans[old] = low, high, comfortable.low, comfortable.high
    if all(theirs.voices[old].octave == ours.voices[new].octave for old, new in voices.items()):
        return {}
    choices: Iterable[tuple[int, ...]] = product(_OCTAVES, repeat=len(spans))
    if len(spans) > _MOST_COMPARED:
        choices = [(octave,) * len(spans) for octave in _OCTAVES]
    best = min(choices, key=lambda octaves: _misfit(list(spans.values()), octaves), default=())
    return {voice: number for voice, number in zip(spans, best, strict=True) if number}


def _misfit(spans: Sequence[_Span], octaves: Sequence[int]) -> tuple[int, int, int]:
    """How badly lines fit after they were moved by these octaves: by how many semitones they go
    beyond the ranges in the keys that suit best, into how many groups they part, and by how many
    octaves they move."""
    lines = list(zip(spans, octaves, strict=True))
    beyond = min(
        sum(_beyond(span, 12 * octave + keys) for span, octave in lines)
        for keys in range(-_KEYS_MOVED, _KEYS_MOVED + 1)
    )
    return beyond, len(set(octaves)), sum(map(abs, octaves))


def _beyond(span: _Span, move: int) -> int:
    """By how many semitones a line goes beyond its range after it was moved by `move` semitones."""
    low, high, comfortable_low, comfortable_high = span
    return max(0, comfortable_low - low - move) + max(0, high + move - comfortable_high)


def _same_name(voice: str, theirs: Chorus, ours: Chorus) -> str | None:
    """Our voice with the same name or label as this voice of the other chorus; None if there is
    none."""
    if voice in ours.voices:
        return voice
    label = theirs.voices[voice].label.casefold()
    return next((name for name, one in ours.voices.items() if one.label.casefold() == label), None)


def _alike(one: Voice, other: Voice) -> bool:
    """Whether two voices have the same clef and nearly the same comfortable range."""
    a, b = one.comfortable, other.comfortable
    near = abs(a.low - b.low) <= _NEAR and abs(a.high - b.high) <= _NEAR
    return one.clef == other.clef and near
