"""How the singers stand: how often they walk, and in which formation each item is sung.

A suggestion sings what does not depend on its formation (`demands`) as the chorus stands already,
as directors do by hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

from chorus_handbook.warmups.checks.harmony import LINES
from chorus_handbook.warmups.running_order import PlannedItem
from chorus_handbook.warmups.suggesting.choices import Choice, Choices
from chorus_handbook.warmups.suggesting.request import Request

#: How often a chorus walks at most in a warm-up of up to so many minutes, and in a longer one.
#: Children move and are still by turns, so they may always walk twice.
_SHORT, _WALKS_IN_SHORT, _WALKS = 15, 1, 2
#: From so many items on that then stand as their authors name it, a walk is worth its time where
#: nothing asks for one.
_WORTH_A_WALK = 2
#: Nobody walks for a single item, except where it depends on its formation.
_STAY = 2
#: The state of a chorus that stands in one of these formations, whichever it is.
_ANYHOW = "anyhow"
#: The picture of pairs, in which nobody hears a chord in parts as a whole (common practice).
_PAIRS = "facing-pairs"


def most_walks(request: Request) -> int:
    """How often the chorus may change its formation."""
    brief = request.minutes <= _SHORT and request.kind != "children"
    return _WALKS_IN_SHORT if brief else _WALKS


def add_formations(choices: Choices) -> None:
    """For each place, a column that is 1 if and only if the formation changes before it; and not
    too many of them.

    `standing` are the columns of the place before for each formation, which are 1 if the chorus
    stands so. An item that may be sung in any formation leaves it as it is; if it is the first, the
    chorus then stands `_ANYHOW`.
    """
    program = choices.program
    walking = sorted({_needed(one.item) for one in choices.all} - {"", _ANYHOW})
    states = [*walking, _ANYHOW]
    known = choices.stock.vocabulary.formations
    paired = [name for name in walking if name in known and known[name].diagram == _PAIRS]
    standing: dict[str, int] = {name: program.amount(high=0) for name in states}
    for here in choices.here:
        own = {name: [one.column for one in here if _needed(one.item) == name] for name in states}
        move = program.choice()
        choices.moves.append(move)
        program.implies([move], [column for name in walking for column in own[name]])
        now = {name: program.amount() for name in states}
        program.at_most(dict.fromkeys(now.values(), 1), 1)
        if chord := [one.column for one in here if _together(one.item)]:
            for name in paired:
                program.at_most({standing[name]: 1} | dict.fromkeys(chord, 1), 1)
        for name in states:
            others = [column for other in walking if other != name for column in own[other]]
            elsewhere = [standing[other] for other in states if other != name]
            program.implies([standing[name]], [now[name], *others])
            program.implies([now[name]], [standing[name], *own[name]])
            program.at_most({now[name]: 1} | dict.fromkeys(others, 1), 1)
            if name == _ANYHOW:
                program.implies(own[name], [now[name], *elsewhere])
                program.at_most({now[name]: 1} | dict.fromkeys(elsewhere, 1), 1)
                continue
            program.implies(own[name], [now[name]])
            program.at_least({move: 1} | dict.fromkeys([*own[name], *elsewhere], -1), -1)
            stays = {move: 1} | dict.fromkeys(own[name], 1) | dict.fromkeys(elsewhere, -1)
            program.at_most(stays, 1)
        standing = now
    program.at_most(dict.fromkeys(choices.moves, 1), most_walks(choices.request))


def _together(item: PlannedItem) -> bool:
    """Whether it is a chord or a verse in parts for which everyone must hear everyone."""
    return _needed(item) in ("", _ANYHOW) and len(item.parts) >= LINES


def _needed(item: PlannedItem) -> str:
    """The formation that an item needs; empty if it names none."""
    return _ANYHOW if item.as_they_stand and item.formation else item.formation


def walks(items: Sequence[PlannedItem]) -> int:
    """How often the chorus has to change its formation for these items."""
    states = [state for item in items if (state := _needed(item))]
    count, standing = 0, states[0] if states else ""
    for state in states:
        if state not in (_ANYHOW, standing):
            count, standing = count + 1, state
    return count


def standing_alike(
    chosen: Sequence[Choice], goals: Collection[str], *, may_walk: bool
) -> list[Choice]:
    """The same choices, each with the formation in which it is sung.

    Up to the first item that depends on its formation all stand alike, as most of their authors
    name it, where items for the `goals` that the music asks for count twice; or, with `may_walk`,
    in two formations, one after the other, if that suits many more of them. From then on they stay
    as they stand until another item depends on it.
    """
    found: list[str] = []
    own = [(one.item.formation, 2 if {*one.candidate.goals} & {*goals} else 1) for one in chosen]
    free = next(
        (n for n, one in enumerate(chosen) if _needed(one.item) not in ("", _ANYHOW)), len(chosen)
    )
    found += _for_free(own[:free], may_walk=may_walk)
    for one in chosen[free:]:
        found.append(found[-1] if _needed(one.item) in ("", _ANYHOW) else one.item.formation)
    return [_in_formation(*one) for one in zip(chosen, found, strict=True)]


def _in_formation(one: Choice, formation: str) -> Choice:
    if not one.item.formation:
        return one
    written = one.candidate.written.model_copy(update={"formation": formation})
    return replace(one, candidate=replace(one.candidate, written=written))


def _for_free(own: Sequence[tuple[str, int]], *, may_walk: bool) -> list[str]:
    """One formation for items that may be sung in any, or two in a row. `own` are the formations
    that their authors name, and how much each counts."""
    alike, most = _most_common(own)
    best, suits = [alike] * len(own), most + _WORTH_A_WALK
    for split in range(_STAY, len(own) - _STAY + 1) if may_walk else ():
        parts = (own[:split], own[split:])
        names = [_most_common(part)[0] for part in parts]
        suited = sum(_most_common(part)[1] for part in parts)
        if all(names) and suited >= suits:
            best = [name for part, name in zip(parts, names, strict=True) for _ in part]
            suits = suited + 1
    return best


def _most_common(own: Sequence[tuple[str, int]]) -> tuple[str, int]:
    """The formation that counts most, of several the one that is named first, and how much it
    counts; empty if none is named."""
    counts: Counter[str] = Counter()
    for name, count in own:
        counts[name] += count if name else 0
    most = max(counts.values(), default=0)
    return next(((name, most) for name, _ in own if name and counts[name] == most), ("", 0))
