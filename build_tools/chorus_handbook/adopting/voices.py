"""Matches the voices of two choruses: which of our voices sings the line of which of theirs."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from chorus_handbook.chorus.model import Chorus, NoteRange, Voice
from chorus_handbook.voices import Ladder

#: Two voices with the same clef match if both ends of their comfortable ranges differ by at most
#: this many semitones, a minor third. Sources differ by as much about one voice (our choice).
_NEAR = 3
#: The octaves by which a line may be moved, the preferred ones first.
_OCTAVES = (0, -1, 1, -2, 2)


def match_voices(
    needed: Iterable[str], theirs: Chorus, ours: Chorus, given: Mapping[str, str]
) -> dict[str, str]:
    """Our voice for each of the `needed` voices of theirs, as far as they can be matched. A match
    is `given`, or has the same name or label, or is the only voice left with the same clef and
    nearly the same range."""
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
    """Our voice for each of the `needed` voices of theirs, in score order: the highest for the
    highest, and so on. None if we have too few voices."""
    voices = list(needed)
    return dict(zip(voices, ours.voices, strict=False)) if len(voices) <= len(ours.voices) else None


def suggested(missing: Iterable[str], ours: Chorus, taken: Collection[str]) -> dict[str, str]:
    """A guess for the voices that could not be matched: our remaining voices, in score order."""
    left = [name for name in ours.voices if name not in taken]
    return dict(zip(missing, left, strict=False))


def octaves_between(
    voices: Mapping[str, str], ladder: Ladder | None, theirs: Chorus, ours: Chorus
) -> dict[str, int]:
    """By how many octaves to move the line of each voice of theirs, so that it fits best into our
    voice's comfortable range in all keys of the `ladder`. Lines that need not move are left out,
    and so are those of voices with the same `octave` in both files chorus.yml."""
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
    """By how many semitones a line from `low` to `high` goes beyond a range after it was moved."""
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
