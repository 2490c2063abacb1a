"""Finds keys in which another chorus can sing an exercise.

The keys of an exercise suit the voices they were written for. For other voices all keys are moved
up or down together, as little as possible; if that does not help, they also turn back earlier, so
that there are fewer. Whether a voice can sing in a key is decided by the rule of the ladder
(`rule.py`). The keys still climb or fall as written, and stop before singing becomes uncomfortable
(common practice). A *rung* is one key with what each voice does in it.
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

#: How far keys may be moved, in semitones: an octave and a half.
_MOST_SEMITONES = 18

#: A function that says whether the keys with these rungs, in the order of singing, suit the chorus.
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
    all, and the music has only one line, voices may stop at the end of their range after all; the
    result then has `step_out` "allowed".

    If voices may stop, all of them must sing in the first key, and at least half of them in every
    key. In music in several lines no voice may stop, because chords would lose a note.

    wide: whether the manner of sounding (a hum, a trill) may use the extended range of a voice.
    everyone: whether no voice may stop even in music of one line; there are fewer keys if need be.
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
    """The rungs of a score. Each is computed when it is asked for, and then kept.
    `in_harmony` says whether the music has several lines; it is known once `rungs` has been
    called."""

    def __init__(self, score: Score, chorus: Chorus, *, wide: bool) -> None:
        self._score, self._chorus, self._wide = score, chorus, wide
        self._known: dict[int, Rung] = {}  # by the MIDI number of the tonic
        self.in_harmony = False

    def rungs(self, path: KeyPath) -> list[Rung]:
        """The rungs of these keys, in the order of singing; none if nobody sings a pitch."""
        midis = [path.start.midi + distance for distance in path.semitones()]
        unknown = {midi for midi in midis if midi not in self._known}
        if unknown:
            if self._known:  # once keys are moved, many more are asked for: all at once costs less
                nearby = range(min(unknown) - _MOST_SEMITONES, max(unknown) + _MOST_SEMITONES + 1)
                unknown = {midi for midi in nearby if midi not in self._known}
            tonics = [Pitch.parse(named(midi)) for midi in sorted(unknown)]
            ladder = compute_ladder(self._score, tonics, self._chorus, wide=self._wide)
            self.in_harmony = len(ladder.lines) > 1
            self._known |= {rung.tonic.midi: rung for rung in ladder.rungs}
        return [self._known[midi] for midi in midis if midi in self._known]

    def nearest(self, path: KeyPath, rules: Sequence[_Suits]) -> KeyPath | None:
        """The path nearest to `path` that suits the chorus by the first of the rules, or else by
        the next one; None if there is none. Paths with fewer keys are tried only if no path with
        more keys suits by any rule."""
        for shorter in _shortened(path):
            for suits in rules:
                for moved in _moved(shorter):
                    if suits(self.rungs(moved)):
                        return moved
        return None


def _comfortable(rungs: Sequence[Rung]) -> bool:
    """Whether all voices are comfortable in every key."""
    return all(step.state == "comfortable" for rung in rungs for step in rung.voices.values())


def _all_sing(rungs: Sequence[Rung]) -> bool:
    """Whether all voices can sing in every key."""
    return not any(rung.out for rung in rungs)


def _half_sing(rungs: Sequence[Rung]) -> bool:
    """Whether all voices can sing in the first key, and at least half of them in every key."""
    first, *_ = rungs
    return not first.out and all(2 * len(rung.out) <= len(rung.voices) for rung in rungs)


def _begun_in_comfort(rungs: Sequence[Rung]) -> bool:
    """Whether all voices are comfortable in the first key, and at least half of them can sing in
    every key."""
    return _comfortable(rungs[:1]) and _half_sing(rungs)


def _shortened(path: KeyPath) -> Iterator[KeyPath]:
    """The path, then paths that turn back one key earlier each, down to a path of one key."""
    yield path
    distance = path.turn.midi - path.start.midi  # in semitones
    step = path.stride if distance > 0 else -path.stride
    while distance:
        distance -= step
        turn = Pitch.parse(named(path.start.midi + distance))
        path = replace(path, turn=turn) if distance else KeyPath(path.start, path.start)
        yield path


def _moved(path: KeyPath) -> Iterator[KeyPath]:
    """The path itself, then the path moved down and up by one semitone, by two, and so on."""
    yield path
    for semitones in range(1, _MOST_SEMITONES + 1):
        for move in (-semitones, semitones):
            start, turn = (Pitch.parse(named(p.midi + move)) for p in (path.start, path.turn))
            yield replace(path, start=start, turn=turn)


def _spelled(score: Score, path: KeyPath) -> KeyPath:
    """The path with its first key, and the key at which it turns back, spelled as on the page."""
    names = {pitch.midi: pitch for pitch in spell_keys(score, path)}
    return replace(path, start=names[path.start.midi], turn=names[path.turn.midi])
