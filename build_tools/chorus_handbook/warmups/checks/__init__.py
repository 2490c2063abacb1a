"""The rules of a warm-up, one file for each. Each says when a notice is due; otherwise there is
none. All compare with what came *before*, not with the item just before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from chorus_handbook.warmups.checks.body import check_body
from chorus_handbook.warmups.checks.close import check_close
from chorus_handbook.warmups.checks.extremes import check_extremes
from chorus_handbook.warmups.checks.formation import check_formation
from chorus_handbook.warmups.checks.harmony import check_harmony
from chorus_handbook.warmups.checks.leaps import check_leaps
from chorus_handbook.warmups.checks.level import check_level
from chorus_handbook.warmups.checks.new import check_new
from chorus_handbook.warmups.checks.occasion import check_occasion
from chorus_handbook.warmups.checks.running import check_running
from chorus_handbook.warmups.checks.strong import check_strong
from chorus_handbook.warmups.checks.time import check_time
from chorus_handbook.warmups.checks.voices import check_voices
from chorus_handbook.warmups.running_order import Finding, RunningOrder

OrderCheck = Callable[[RunningOrder], Iterator[Finding]]

#: What concerns voices, in warm-ups and routines alike.
VOICE_CHECKS: tuple[OrderCheck, ...] = (check_voices, check_strong, check_extremes, check_leaps)
#: What concerns an evening; a routine is sung as it stands, by people who know it.
EVENING_CHECKS: tuple[OrderCheck, ...] = (
    *(check_time, check_harmony, check_body, check_close, check_level, check_new, check_running),
    *(check_formation, check_occasion),
)


def findings(order: RunningOrder) -> list[Finding]:
    """All that the rules find in a running order."""
    checks = VOICE_CHECKS if order.occasion is None else (*VOICE_CHECKS, *EVENING_CHECKS)
    return [finding for check in checks for finding in check(order)]
