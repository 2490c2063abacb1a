"""Computes the ladder of an exercise: for each key and voice, whether it is in the voice's
range."""

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
    """One voice in one key: its state (comfortable, edge or out) and the end of its range that it
    passes. `holds`: a note outside the comfortable range is held for a beat or more. `octaves`: by
    how many octaves a voice that is out may move to go on (0: it cannot, or the exercise does not
    allow it). `first`: the note it begins on, in its own octave."""

    state: State
    reach: Reach
    holds: bool
    octaves: int
    first: Pitch
    end: End = "neither"


@dataclass(frozen=True, slots=True)
class Rung:
    """One key: its tonic for octave 0, and every voice that sings, in the chorus's order."""

    tonic: Pitch
    voices: Mapping[str, Step]

    @property
    def out(self) -> tuple[str, ...]:
        """The voices that step out here."""
        return tuple(
            name for name, step in self.voices.items() if step.state == "out" and not step.octaves
        )


@dataclass(frozen=True, slots=True)
class Ladder:
    """All keys of an exercise in singing order. `lines` groups the voices that sing the same notes,
    in whatever octave: a chord is whole while each of them has a voice. Without pitched voices
    there are no rungs."""

    rungs: tuple[Rung, ...]
    lines: tuple[tuple[str, ...], ...]

    def steps_out(self, voice: str) -> int | None:
        """The index of the first key that a voice cannot sing; None when it can sing all."""
        return next((n for n, rung in enumerate(self.rungs) if voice in rung.out), None)

    @property
    def last_for_all(self) -> int | None:
        """The index of the last key, from the first on, that every voice can sing; None when not
        even the first is for all."""
        return self._last(lambda rung: not rung.out)

    @property
    def last_for_chord(self) -> int | None:
        """The index of the last key, from the first on, in which every line has a voice."""
        return self._last(lambda rung: not any(set(line) <= set(rung.out) for line in self.lines))

    def _last(self, suits: Callable[[Rung], bool]) -> int | None:
        """The index of the last key, from the first on, in which `suits` is true; None when it is
        false in the first."""
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
    """The ladder of a score that is sung in `keys`, one key after another: for each key and voice,
    whether what it sings is in its range. The leader, who has no range, is left out.

    may_change_octave: a voice that is out of its range in a key may sing on in another octave.
    wide: the manner of sounding (a hum, a trill) may use the extended range.
    """
    from chorus_handbook.music.measure import sounding_pitch

    singing = [p for p in score.parts if p.voice in chorus.voices and p.sung]
    reaches = {part.voice: reach_of(part, score, keys[0], wide=wide) for part in singing}
    rungs = []
    for tonic in keys if singing else ():
        steps = {}
        for part in singing:
            compass = compass_of(chorus.voices[part.voice])
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
    """The range of a voice in MIDI numbers."""
    inner, outer = voice.comfortable, voice.limits
    widest = voice.widest or outer
    return Compass(inner.low, inner.high, outer.low, outer.high, widest.low, widest.high)


def reach_of(part: Part, score: Score, tonic: Pitch, *, wide: bool = False) -> Reach:
    """The lowest and highest notes that a part touches, holds and glides over in the key on
    `tonic`. Notes that are sung only as far as is easy count only if there are no others. `wide`:
    every note may use the voice's widest range.

    A note is glided over if a glide begins or ends on it and its steady part is shorter than a
    beat. In a siren, for example, only the notes on which the voice rests are not.
    """
    from chorus_handbook.music.measure import sounding_pitches

    assert part.voice != LEADER
    strict = [note for note in part.sung if not note.easy] or part.sung
    arrived = {after.id for note, after in pairwise(part.sung) if note.glide_at is not None}
    touched, held, glided = [], [], []
    for note in strict:
        pitches = [pitch.midi for pitch in sounding_pitches(note, part, tonic, score.mode)]
        stands = note.duration if note.glide_at is None else note.glide_at
        if stands >= score.meter.beat:
            held += pitches
            touched += pitches
        elif note.glide_at is not None or note.id in arrived:
            glided += pitches
        else:
            touched += pitches
    return Reach(
        min(touched or glided),
        max(touched or glided),
        min(held, default=None),
        max(held, default=None),
        min(glided, default=None),
        max(glided, default=None),
        wide or not touched,
    )
