"""The last item.

What it checks: that the last item is not strong singing (impact 5), and that it is full singing
(impact 4) only if it brings the chorus together (`PlannedItem.unites`) or the first chord of a
piece follows it. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_close(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-close`, at most one."""
    place = len(order.items) - 1
    last = order.items[place]
    if last.impact == 5:
        amount, cure = "strong singing (impact 5)", "End with a gentler item"
    elif last.impact == 4 and not last.unites and not order.chord_follows:
        amount = "full singing (impact 4) and does not bring the chorus together"
        cure = "End with an item for blend, tuning or harmony, or with the piece's first chord"
    else:
        return
    yield Finding(
        "warmup-close",
        place,
        f"The last item, {last.named()}, is {amount}.",
        f'{cure}; move "{last.title}" to an earlier place.',
    )
