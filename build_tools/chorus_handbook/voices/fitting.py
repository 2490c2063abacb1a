"""Finds keys in which another chorus can sing an exercise.

The keys of an exercise suit the voices they were written for. For other voices they are moved as a
whole, as little as possible, and if nothing else helps there are fewer of them. Whether a voice can
sing in a key is decided by the ladder (`rule.py`); that keys climb or fall as written and stop
while it is comfortable is common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import StepOut
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch, named
from chorus_handbook.voices.ladder import Rung, compute_ladder

#: How far keys may be moved, in semitones: beyond an octave and a half, another octave of the same
#: key would do as well.
_MOST_SEMITONES = 18

#: Whether the keys with these rungs, in the order of singing, suit the chorus.
_Suits = Callable[[Sequence[Rung]], bool]


@dataclass(frozen=True, slots=True)
class FittingKeys:
    """Keys for another chorus, and the field `step_out` that they need."""

    path: KeyPath
    step_out: StepOut


def fit_keys(
    score: Score,
    path: KeyPath,
    chorus: Chorus,
    *,
    step_out: StepOut,
    wide: bool = False,
    everyone: bool = False,
) -> FittingKeys | None:
    """The keys nearest to `path` in which the chorus can sing the score; None if there are none.

    With `step_out` "no", every voice must be comfortable in every key. If no key is comfortable for
    all, and the music has only one line, voices may stop at the end of their range after all (the
    result then has `step_out` "allowed").

    If voices may stop, all of them must sing in the first key, and at least half of them in every
    key. Music in several lines is different: no voice may stop, because chords would lose a note.
    `wide`: the manner of sounding may use the extended range. `everyone`: no voice may stop, even
    in music of one line; rather there are fewer keys.
    """
    ladder = _Ladder(score, chorus, wide=wide)
    if not ladder.rungs(path):  # nobody sings a pitch
        return FittingKeys(path, step_out)
    if step_out == "no":
        found = ladder.nearest(path, [_comfortable])
        if found is None and ladder.in_harmony:
            return None
        if found is not None:
            return FittingKeys(_spelled(score, found), step_out)
        step_out = "allowed"
    rules = [_all_sing] if ladder.in_harmony or everyone else [_begun_in_comfort, _half_sing]
    found = ladder.nearest(path, rules)
    return None if found is None else FittingKeys(_spelled(score, found), step_out)


class _Ladder:
    """The rungs of a score, computed for the tonics that are asked for."""

    def __init__(self, score: Score, chorus: Chorus, *, wide: bool) -> None:
        self._score, self._chorus, self._wide = score, chorus, wide
        self._known: dict[int, Rung] = {}
        self.in_harmony = False

    def rungs(self, path: KeyPath) -> list[Rung]:
        """The rungs of these keys, in the order of singing; none if nobody sings a pitch."""
        midis = [path.start.midi + distance for distance in path.semitones()]
        unknown = [midi for midi in midis if midi not in self._known]
        if unknown:
            tonics = [Pitch.parse(named(midi)) for midi in unknown]
            ladder = compute_ladder(self._score, tonics, self._chorus, wide=self._wide)
            self.in_harmony = len(ladder.lines) > 1
            self._known |= {rung.tonic.midi: rung for rung in ladder.rungs}
        return [self._known[midi] for midi in midis if midi in self._known]

    def nearest(self, path: KeyPath, rules: Sequence[_Suits]) -> KeyPath | None:
        """The path nearest to `path` that suits by the first rule, else by the next one. Fewer keys
        are tried only if no rule suits with all of them."""
        for shorter in _shortened(path):
            for suits in rules:
                for moved in _moved(shorter):
                    if suits(self.rungs(moved)):
                        return moved
        return None


def _comfortable(rungs: Sequence[Rung]) -> bool:
    return all(step.state == "comfortable" for rung in rungs for step in rung.voices.values())


def _all_sing(rungs: Sequence[Rung]) -> bool:
    return not any(rung.out for rung in rungs)


def _half_sing(rungs: Sequence[Rung]) -> bool:
    """Whether all voices sing in the first key, and at least half of them in every key."""
    return not rungs[0].out and all(2 * len(rung.out) <= len(rung.voices) for rung in rungs)


def _begun_in_comfort(rungs: Sequence[Rung]) -> bool:
    """Like `_half_sing`, and all voices are comfortable in the first key."""
    return _comfortable(rungs[:1]) and _half_sing(rungs)


def _shortened(path: KeyPath) -> Iterator[KeyPath]:
    """The path, then paths with fewer and fewer keys at its far end, down to one key."""
    yield path
    distance = path.turn.midi - path.start.midi
    step = path.stride if distance > 0 else -path.stride
    while distance:
        distance -= step
        turn = Pitch.parse(named(path.start.midi + distance))
        path = replace(path, turn=turn) if distance else KeyPath(path.start, path.start)
        yield path


def _moved(path: KeyPath) -> Iterator[KeyPath]:
    """The path itself, then moved down and up by one semitone, by two, and so on."""
    yield path
    for semitones in range(1, _MOST_SEMITONES + 1):
        for move in (-semitones, semitones):
            start, turn = (Pitch.parse(named(p.midi + move)) for p in (path.start, path.turn))
            yield replace(path, start=start, turn=turn)


def _spelled(score: Score, path: KeyPath) -> KeyPath:
    """The path with its first and last key spelled as they are on the page."""
    names = {pitch.midi: pitch for pitch in spell_keys(score, path)}
    return replace(path, start=names[path.start.midi], turn=names[path.turn.midi])
