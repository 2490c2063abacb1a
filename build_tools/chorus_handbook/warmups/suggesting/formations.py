"""How the singers of a suggested warm-up stand: in which formation each item is sung, and how often
they have to walk into another one.

Each exercise names a formation, but few depend on it (`demands.depends_on_formation`). The others
are sung as the chorus stands already, as directors do when they plan by hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

from chorus_handbook.warmups.checks.harmony import LINES
from chorus_handbook.warmups.running_order import PlannedItem
from chorus_handbook.warmups.suggesting.choices import Choice, Choices
from chorus_handbook.warmups.suggesting.demands import PAIRS
from chorus_handbook.warmups.suggesting.request import Request

#: How often a chorus may walk: `_WALKS_IN_SHORT` times in a warm-up of up to `_SHORT` minutes, else
#: `_WALKS` times. Children move and are still by turns, so they may always walk twice.
_SHORT, _WALKS_IN_SHORT, _WALKS = 15, 1, 2
#: A walk that no item depends on is worth its time if at least this many more items are then sung
#: in the formation that their authors name.
_WORTH_A_WALK = 2
#: At least this many items in a row are sung in a formation that no item depends on.
_STAY = 2
#: Stands for the formation of a chorus that stands in some formation on which no item depends.
_ANYHOW = "anyhow"


def most_walks(request: Request) -> int:
    """How often the chorus may change its formation."""
    if request.right_before:
        return 0
    brief = request.minutes <= _SHORT and request.kind != "children"
    return _WALKS_IN_SHORT if brief else _WALKS


def add_formations(choices: Choices) -> None:
    """Add a column for each place (`Choices.moves`) that is 1 if and only if the formation changes
    before it, and the condition that no more than `most_walks` of them are 1.

    For this the program follows how the chorus stands: `standing` and `now` have a column for each
    formation, which is 1 if the chorus stands in it before, and after, the item in a place. An item
    that may be sung in any formation leaves the chorus as it stands; if it is the first that names
    one, the chorus then stands in a formation on which no item depends (`_ANYHOW`).
    """
    program = choices.program
    walking = sorted({_needed(one.item) for one in choices.all} - {"", _ANYHOW})
    states = [*walking, _ANYHOW]
    known = choices.stock.vocabulary.formations
    paired = [name for name in walking if name in known and known[name].diagram == PAIRS]
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
    """Whether everyone must hear everyone in an item: it is in parts, and does not depend on a
    formation of its own."""
    return _needed(item) in ("", _ANYHOW) and len(item.parts) >= LINES


def _needed(item: PlannedItem) -> str:
    """The formation on which an item depends; `_ANYHOW` if it names one but does not depend on it;
    empty if it names none."""
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

    All items before the first one that depends on its formation get the formation that most of
    their authors name; an item that serves one of `goals`, which the music that follows asks for,
    counts twice. With `may_walk` they get two formations, one after the other, if that suits many
    more of them. After that the chorus stays as it stands until another item depends on its
    formation.
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
    """The choice with this formation in its file; unchanged if its exercise names none."""
    if not one.item.formation:
        return one
    written = one.candidate.written.model_copy(update={"formation": formation})
    return replace(one, candidate=replace(one.candidate, written=written))


def _for_free(own: Sequence[tuple[str, int]], *, may_walk: bool) -> list[str]:
    """A formation for each of some items that may be sung in any: the same for all, or, with
    `may_walk`, two that follow each other. `own` has, for each item, the formation that its author
    names and how much it counts."""
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
    """The formation with the highest count and that count; of equal ones, the one that is named
    first; ("", 0) if none is named."""
    counts: Counter[str] = Counter()
    for name, count in own:
        counts[name] += count if name else 0
    most = max(counts.values(), default=0)
    return next(((name, most) for name, _ in own if name and counts[name] == most), ("", 0))
