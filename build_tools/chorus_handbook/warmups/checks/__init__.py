"""The rules for the order of a warm-up, one module for each.

The browser runs the same rules (`browser/check_*.js`); the numbers and sentences of both stand in
`browser/warm_up_rules.js`. Change both sides together.

Each check takes a running order and yields a `Finding` for every place that breaks its rule. Where
a rule asks what comes before an item, all earlier items count, not only the one directly before it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from chorus_handbook.warmups.checks.arrivals import check_arrivals
from chorus_handbook.warmups.checks.body import check_body
from chorus_handbook.warmups.checks.close import check_close
from chorus_handbook.warmups.checks.extremes import check_extremes
from chorus_handbook.warmups.checks.formation import check_formation
from chorus_handbook.warmups.checks.from_above import check_from_above
from chorus_handbook.warmups.checks.harmony import check_harmony
from chorus_handbook.warmups.checks.join_in import check_join_in
from chorus_handbook.warmups.checks.leaps import check_leaps
from chorus_handbook.warmups.checks.length import check_length
from chorus_handbook.warmups.checks.level import check_level
from chorus_handbook.warmups.checks.new import check_new
from chorus_handbook.warmups.checks.occasion import check_occasion
from chorus_handbook.warmups.checks.parts import check_parts
from chorus_handbook.warmups.checks.phrases import check_phrases
from chorus_handbook.warmups.checks.running import check_running
from chorus_handbook.warmups.checks.seated import check_seated
from chorus_handbook.warmups.checks.stillness import check_stillness
from chorus_handbook.warmups.checks.strong import check_strong
from chorus_handbook.warmups.checks.time import check_time
from chorus_handbook.warmups.checks.voices import check_voices
from chorus_handbook.warmups.findings import Finding
from chorus_handbook.warmups.running_order import RunningOrder

OrderCheck = Callable[[RunningOrder], Iterator[Finding]]

#: Checks that protect voices; they apply to warm-ups and to routines.
VOICE_CHECKS: tuple[OrderCheck, ...] = (check_voices, check_strong, check_extremes, check_leaps)
#: Checks that apply to warm-ups only: a routine has no date and no occasion, and the people who
#: sing it know it already.
EVENING_CHECKS: tuple[OrderCheck, ...] = (
    *(check_time, check_harmony, check_body, check_close, check_level, check_new, check_running),
    *(check_formation, check_parts, check_join_in, check_arrivals),
    *(check_length, check_occasion, check_phrases, check_seated, check_from_above, check_stillness),
)


def findings(order: RunningOrder) -> list[Finding]:
    """What all checks find that apply to this running order, in the order of the checks. A running
    order without an occasion is that of a routine, to which fewer checks apply."""
    checks = VOICE_CHECKS if order.occasion is None else (*VOICE_CHECKS, *EVENING_CHECKS)
    return [finding for check in checks for finding in check(order)]
