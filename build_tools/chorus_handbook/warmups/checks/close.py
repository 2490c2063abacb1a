"""The last item.

What it checks: that strong singing (impact 5) is not last, and that full singing (impact 4) is last
only where it brings the chorus together, or the first chord of a piece follows. Source: common
practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_close(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-close`, at most one."""
    place = len(order.items) - 1
    last = order.items[place]
    if last.impact == 5:
        amount, cure = "strong singing (impact 5)", "End with something gentler"
    elif last.impact == 4 and not last.unites and not order.chord_follows:
        amount = "full singing (impact 4), which brings nobody together"
        cure = "End with something for blend, tuning or harmony, or with the piece's first chord"
    else:
        return
    yield Finding(
        "warmup-close",
        place,
        f'The last item, "{last.title}", is {amount}.',
        f"{cure}: move this one further forward.",
    )
