"""Matches the voices of two choruses: which of ours sings what one of theirs sang."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from chorus_handbook.chorus.model import Chorus, NoteRange, Voice
from chorus_handbook.voices import Ladder

#: Two voices with the same clef are alike if both ends of their comfortable ranges are this near,
#: in semitones: a minor third, within which figures for one and the same voice differ (our choice).
_NEAR = 3
#: A line moves by no more octaves than these.
_OCTAVES = (0, -1, 1, -2, 2)


def match_voices(
    needed: Iterable[str], theirs: Chorus, ours: Chorus, given: Mapping[str, str]
) -> dict[str, str]:
    """Ours for each of the voices of theirs that are `needed`, as far as they can be matched: as
    `given`; by name or label; or the only one left with the same clef and nearly the same range."""
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
    """Ours for each of the voices of theirs that are `needed`, the highest for the highest; None if
    we have too few. With a voice for each, no line is crossed that was not crossed before."""
    voices = list(needed)
    return dict(zip(voices, ours.voices, strict=False)) if len(voices) <= len(ours.voices) else None


def suggested(missing: Iterable[str], ours: Chorus, taken: Collection[str]) -> dict[str, str]:
    """A guess for voices that could not be matched: the voices of ours that are left, both in score
    order."""
    left = [name for name in ours.voices if name not in taken]
    return dict(zip(missing, left, strict=False))


def octaves_between(
    voices: Mapping[str, str], ladder: Ladder | None, theirs: Chorus, ours: Chorus
) -> dict[str, int]:
    """By how many octaves the line of each voice of theirs should move for ours: so that it lies
    best in the new voice's comfortable range in all keys of the `ladder`, and else not at all."""
    octaves = {}
    for old, new in voices.items():
        if theirs.voices[old].octave == ours.voices[new].octave:
            continue
        reaches = [r.voices[old].reach for r in ladder.rungs if old in r.voices] if ladder else []
        if reaches:
            low, high = min(r.lowest for r in reaches), max(r.highest for r in reaches)
            comfortable = ours.voices[new].comfortable
            beyond = {number: _beyond(low, high, number, comfortable) for number in _OCTAVES}
            octaves[old] = min(_OCTAVES, key=lambda number: beyond[number])
    return {voice: number for voice, number in octaves.items() if number}


def _beyond(low: int, high: int, octaves: int, comfortable: NoteRange) -> int:
    """How many semitones a line goes beyond a range, once moved."""
    move = 12 * octaves
    return max(0, comfortable.low - low - move) + max(0, high + move - comfortable.high)


def _same_name(voice: str, theirs: Chorus, ours: Chorus) -> str | None:
    if voice in ours.voices:
        return voice
    label = theirs.voices[voice].label.casefold()
    return next((name for name, one in ours.voices.items() if one.label.casefold() == label), None)


def _alike(one: Voice, other: Voice) -> bool:
    a, b = one.comfortable, other.comfortable
    near = abs(a.low - b.low) <= _NEAR and abs(a.high - b.high) <= _NEAR
    return one.clef == other.clef and near
