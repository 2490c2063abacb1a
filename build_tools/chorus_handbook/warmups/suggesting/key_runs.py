"""Chooses the keys in which an exercise may be planned for the voices that are present.

The result is a run of keys that follow one another in the exercise, and a shorter run for when time
is short. A run begins with the first key that suits these voices and goes on as long as the keys
suit them. Source: common practice; that a voice may step out while others go on, and how short the
shorter run is, are our choice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from chorus_handbook.records import Exercise
from chorus_handbook.records.planning_numbers import PlanningNumbers
from chorus_handbook.voices import Rung
from chorus_handbook.voices.ladder import Ladder
from chorus_handbook.warmups.key_choice import row_text

#: A run of `_LONG` keys or more has a shorter one of half as many, but of no fewer than `_FEWEST`.
_LONG, _FEWEST = 5, 3
#: A run of at least this many keys inside every comfortable range is preferred to a longer one.
_ENOUGH = 2


def key_runs(
    exercise: Exercise,
    numbers: PlanningNumbers,
    present: Collection[str],
    *,
    gently: bool,
    within: bool = False,
    most: int | None = None,
    low: bool = False,
) -> Iterator[str | None]:
    """The runs of keys in which an exercise may be planned, the longest first, each as the field
    `keys` of an item has it: "C4 up to F4", or None for all keys and for an exercise without keys.
    Yields nothing if no key suits the voices that are `present`.

    `gently` leaves out every key that takes one of these voices to the edge of its range, and,
    where none does, the highest key. `within` leaves those at the edge out only if at least
    `_ENOUGH` keys remain (with `low`, if any does), since fewer keys are better than the edge of a
    range. `most` is how many keys a run may have (until it turns, if it goes there and back). If a
    falling run has more, `low` makes it begin one key lower. `low` also adds a run without the
    highest key.
    """
    ladder = exercise.ladder
    if ladder is None or not ladder.rungs:
        yield None
        return
    rungs, back = _outward(ladder.rungs)
    run = _run(rungs, ladder, exercise, present, gently=gently)
    if within and not gently:
        inside = _run(rungs, ladder, exercise, present, gently=True)
        run = inside if len(inside) >= min(1 if low else _ENOUGH, len(run)) else run
    if not run:
        return
    falling = len(run) > 1 and run[-1].tonic.midi < run[0].tonic.midi
    if gently and len(run) > _FEWEST and len(run) == len(rungs):
        run = run[1:] if falling else run[:-1]  # one key fewer, even where all would do
    if len(run) < min(len(rungs), _FEWEST) and gently:
        return
    if most is not None:
        later = low and falling and not back and len(run) > most
        run = run[later : most + later]
    tonics = [rung.tonic.midi for rung in run]
    yield row_text([*tonics, *(tonics[-2::-1] if back else ())], numbers)
    if low and len(run) > 1 and not back:
        yield row_text(tonics[1:] if falling else tonics[:-1], numbers)
    if len(run) >= _LONG:
        yield row_text(tonics[: max(_FEWEST, len(run) // 2)], numbers)


def _run(
    rungs: Sequence[Rung],
    ladder: Ladder,
    exercise: Exercise,
    present: Collection[str],
    *,
    gently: bool,
) -> Sequence[Rung]:
    """The keys from the first that suits those present up to the last that does without a gap;
    empty if none does."""
    suits = [_suits(rung, ladder, exercise, present, gently=gently) for rung in rungs]
    if True not in suits:
        return ()
    first = suits.index(True)
    return rungs[first : suits.index(False, first) if False in suits[first:] else len(rungs)]


def _outward(rungs: Sequence[Rung]) -> tuple[Sequence[Rung], bool]:
    """The keys up to the one at which the exercise turns back, and whether it does; all keys if it
    does not."""
    tonics = [rung.tonic.midi for rung in rungs]
    if len(rungs) > 2 and len(rungs) % 2 and tonics == tonics[::-1]:
        return rungs[: len(rungs) // 2 + 1], True
    return rungs, False


def _suits(
    rung: Rung, ladder: Ladder, exercise: Exercise, present: Collection[str], *, gently: bool
) -> bool:
    """Whether those present can sing the exercise in this key: at least half of its voices sing,
    each line has a voice, and nobody steps out where the exercise does not allow it."""
    voices = [voice for voice in rung.voices if voice in present]
    singing = {voice for voice in voices if voice not in rung.out}
    if not singing or 2 * len(singing) < len(voices):
        return False
    if exercise.front.step_out == "no" and len(singing) < len(voices):
        return False
    if gently and any(rung.voices[voice].state != "comfortable" for voice in singing):
        return False
    lines = [{*line} & {*voices} for line in ladder.lines]
    return all(line & singing for line in lines if line)
