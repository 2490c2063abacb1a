"""Computes the ladder of an exercise: for each key and voice, whether what the voice sings is in
its range. A *rung* is one key of the ladder. `rule` has the rule that decides this."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from chorus_handbook.chorus.model import Chorus, Voice
from chorus_handbook.music.score import LEADER, Part, Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.voices.rule import (
    Compass,
    End,
    Reach,
    State,
    end,
    holds_beyond_comfort,
    other_octave,
    state,
)


@dataclass(frozen=True, slots=True)
class Step:
    """One voice in one key.

    state: whether it is comfortable, at the edge of its range, or out of it.
    reach: its lowest and highest notes.
    sustains_outside: whether it sustains a note outside its comfortable range for a beat or more.
    octaves: by how many octaves (-1 or 1) a voice that is out can move and sing on; 0 if it cannot,
        or if the exercise does not allow it.
    first: the note it begins on, in its own octave.
    end: which end of its range it passes.
    """

    state: State
    reach: Reach
    sustains_outside: bool
    octaves: int
    first: Pitch
    end: End = "neither"


@dataclass(frozen=True, slots=True)
class Rung:
    """One key: its tonic, such as C4, and what every voice that sings does in it, by the voice's
    name in the chorus's order."""

    tonic: Pitch
    voices: Mapping[str, Step]

    @property
    def out(self) -> tuple[str, ...]:
        """The voices that cannot sing in this key, in any octave they may use."""
        return tuple(
            name for name, step in self.voices.items() if step.state == "out" and not step.octaves
        )


@dataclass(frozen=True, slots=True)
class Ladder:
    """All keys of an exercise in the order of singing; none if nobody sings a pitch. `lines` groups
    the voices that sing the same notes, in whatever octave: a chord is complete while each of these
    lines has a voice that sings."""

    rungs: tuple[Rung, ...]
    lines: tuple[tuple[str, ...], ...]

    def steps_out(self, voice: str) -> int | None:
        """The index of the first key in which a voice cannot sing; None when it can in all keys."""
        return next((n for n, rung in enumerate(self.rungs) if voice in rung.out), None)

    @property
    def last_for_all(self) -> int | None:
        """The index of the last key before the first one in which some voice cannot sing; None if
        that is the very first key."""
        return self._last(lambda rung: not rung.out)

    @property
    def last_for_chord(self) -> int | None:
        """The index of the last key before the first one in which some line has no voice that can
        sing it; None if that is the very first key."""
        return self._last(lambda rung: not any(set(line) <= set(rung.out) for line in self.lines))

    def _last(self, suits: Callable[[Rung], bool]) -> int | None:
        """The index of the last key before the first one that does not suit; None if that is the
        very first key."""
        count = next((n for n, rung in enumerate(self.rungs) if not suits(rung)), len(self.rungs))
        return count - 1 if count else None


def compute_ladder(
    score: Score,
    keys: Sequence[Pitch],
    chorus: Chorus,
    *,
    may_change_octave: bool = False,
    wide: bool = False,
) -> Ladder:
    """The ladder of a score that is sung in `keys` (tonics, such as C4), one key after another. The
    leader, who has no range, is left out.

    may_change_octave: whether a voice that is out of its range may sing on in another octave.
    wide: whether the manner of sounding (a hum, a trill) may use the extended range of a voice.
    """
    from chorus_handbook.music.measure import sounding_pitch

    singing = [p for p in score.parts if p.voice in chorus.voices and p.sung]
    reaches = {part.voice: reach_of(part, score, keys[0], wide=wide) for part in singing}
    compasses = {part.voice: compass_of(chorus.voices[part.voice]) for part in singing}
    rungs = []
    for tonic in keys if singing else ():
        steps = {}
        for part in singing:
            compass = compasses[part.voice]
            reach = reaches[part.voice].moved(tonic.midi - keys[0].midi)
            is_out = state(reach, compass) == "out"
            steps[part.voice] = Step(
                state(reach, compass),
                reach,
                holds_beyond_comfort(reach, compass),
                other_octave(reach, compass) if is_out and may_change_octave else 0,
                sounding_pitch(part.sung[0], part, tonic, score.mode),
                end(reach, compass),
            )
        rungs.append(Rung(tonic, steps))
    lines: dict[object, list[str]] = {}
    for part in singing:
        lines.setdefault(part.line, []).append(part.voice)
    return Ladder(tuple(rungs), tuple(map(tuple, lines.values())))


def compass_of(voice: Voice) -> Compass:
    """The range of a voice, in MIDI numbers."""
    inner, outer = voice.comfortable, voice.limits
    widest = voice.widest or outer
    return Compass(inner.low, inner.high, outer.low, outer.high, widest.low, widest.high)


def reach_of(part: Part, score: Score, tonic: Pitch, *, wide: bool = False) -> Reach:
    """The lowest and highest notes that a part sings in the key on `tonic`, in its own octave.
    `wide` says whether every note may use the extended range of the voice. Notes that are sung only
    as far as is easy count only if there are no others.

    A note is glided over, not sung, if a glide begins or ends on it and its steady part is shorter
    than a beat. In a siren, for example, only the notes on which the voice stays count as sung.
    """
    from chorus_handbook.music.measure import sounding_pitches

    assert part.voice != LEADER
    notes = [note for note in part.sung if not note.easy] or part.sung
    after_glide = {after.id for note, after in pairwise(part.sung) if note.glide_at is not None}
    sung, sustained, glided = [], [], []  # MIDI numbers; those of sustained notes are in `sung` too
    for note in notes:
        pitches = [pitch.midi for pitch in sounding_pitches(note, part, tonic, score.mode)]
        steady = note.duration if note.glide_at is None else note.glide_at
        if steady >= score.meter.beat:
            sustained += pitches
            sung += pitches
        elif note.glide_at is not None or note.id in after_glide:
            glided += pitches
        else:
            sung += pitches
    return Reach(
        min(sung or glided),
        max(sung or glided),
        min(sustained, default=None),
        max(sustained, default=None),
        min(glided, default=None),
        max(glided, default=None),
        wide or not sung,
    )
