"""How many points each candidate is worth at each stage, whatever else is chosen. The points are
those of `weights`; what a warm-up is worth as a whole is in `qualities`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import blake2b

from chorus_handbook.chorus.model import Family
from chorus_handbook.warmups.rotation import OFTEN, WEEK, in_window
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.candidates import Candidate, Stock
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stages import Stage, kept_stage

#: When nothing has been new for this many days, something new is welcome.
NEW_DUE = 2 * WEEK


@dataclass(frozen=True, slots=True)
class Season:
    """What the log says of the last weeks.

    new_due: whether it is time for something new.
    rested: the families of goals whose exercises were sung the fewest times in the last four weeks;
        empty without a log.
    after_break: whether this is the first warm-up after a break.
    """

    new_due: bool = False
    rested: frozenset[Family] = frozenset()
    after_break: bool = False


def season_before(request: Request, stock: Stock) -> Season:
    """What the log says of the weeks before the request's day."""
    day, log = request.day.toordinal(), stock.log
    first = [days[0] for slug in log.sung if (days := log.before(slug, day))]
    counts: dict[Family, int] = {
        goal.family: 0 for goal in stock.vocabulary.goals.values() if goal.family
    }
    for slug, exercise in stock.exercises.items():
        times = sum(in_window(one, day) for one in log.before(slug, day))
        for family in {stock.vocabulary.goals[goal].family for goal in exercise.front.goals}:
            if family:
                counts[family] += times
    least = min(counts.values(), default=0)
    return Season(
        bool(first) and day - max(first) >= NEW_DUE,
        frozenset(name for name, count in counts.items() if first and count == least),
        stock.after_break(day),
    )


def worth_of(candidate: Candidate, stage: Stage, request: Request, season: Season) -> int:
    """The points of a candidate at a stage: for how hard it is to learn, how often it was sung, and
    whether it suits the stage."""
    item = candidate.item
    effort = max(1, item.level - 1) if was_learned(candidate) else item.effort_to_learn
    points = weights.EFFORT[effort - 1] + _rotation(candidate, season)
    if is_new(candidate):
        points += weights.NEW_AFTER_BREAK if season.after_break else 0
        serves = not request.goals or {*request.goals} & {*candidate.goals}
        points += 0 if serves or candidate.item.keep else weights.NEW_ASIDE
    if stage == kept_stage(item):
        points += weights.KEPT
    if candidate.moment:
        suits = _suits(candidate.moment, stage)
        points += 0 if suits is None else weights.MOMENT if suits else weights.ELSEWHERE
    if candidate.shortened:
        points += weights.SHORTENED
    if request.tired:
        points += weights.TIRED_HALF_CLOSED if item.half_closed else 0
    if request.seed:
        digest = blake2b(f"{request.seed}:{candidate.slug}".encode(), digest_size=4).digest()
        points += int.from_bytes(digest, "big") % (weights.SEED + 1)
    return points


def is_new(candidate: Candidate) -> bool:
    """Whether the chorus will never have sung it before, neither in the log nor as planned; what is
    kept for the season must be in the log."""
    return candidate.untried or (candidate.item.status == "new" and not candidate.outings)


def is_settling(candidate: Candidate) -> bool:
    """Whether this is the second or third time that the chorus sings it."""
    sung = candidate.item.status in ("new", "settling") and candidate.outings in (1, 2)
    return sung and not candidate.untried


def was_learned(candidate: Candidate) -> bool:
    """Whether a candidate has not been sung for weeks, but was sung often enough before that to
    have been learned."""
    return candidate.item.status == "resting" and candidate.outings >= OFTEN


def _rotation(candidate: Candidate, season: Season) -> int:
    """The points for how well a candidate is known, and how often it was sung lately."""
    item, points = candidate.item, 0
    if is_new(candidate):
        points += weights.NEW + (weights.NEW_DUE if season.new_due else 0)
    elif is_settling(candidate):
        points += weights.SETTLING
    elif item.status == "resting":
        points += weights.RESTING_LEARNED if was_learned(candidate) else weights.RESTING
    elif item.status == "known":
        points += weights.KNOWN
    if 0 < candidate.lately < weights.OFTEN_TIMES:
        points += weights.LATELY
    elif candidate.lately and item.keep is None:
        points += weights.OFTEN
    return points


def _suits(moment: str, stage: Stage) -> bool | None:
    """Whether an exercise that is meant for `moment` suits this stage; None if it neither suits nor
    is out of place there."""
    if stage == Stage.WELCOME:
        return None
    stages: Mapping[str, tuple[Stage, Stage]] = {
        "opening": (Stage.BODY, Stage.GENTLE),
        "middle": (Stage.LIGHT, Stage.EARS),
        "closing": (Stage.CLOSE, Stage.CLOSE),
        "after": (Stage.CLOSE, Stage.CLOSE),
    }
    first, last = stages[moment]
    if first <= stage <= last:
        return True
    # An exercise for the middle may as well come right before or after the middle.
    near = {("middle", Stage.GENTLE), ("middle", Stage.CLOSE)}
    return None if (moment, stage) in near else False
