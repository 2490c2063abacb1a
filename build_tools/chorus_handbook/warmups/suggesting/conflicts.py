"""Names the wishes that do not go together when no warm-up meets a request.

Each wish in turn is left out for good if there is still no warm-up without it. What remains cannot
be met together, and there is a warm-up as soon as any one of it is given up (an *irreducible* set).
If there is no warm-up for any wish, the stock itself lacks something.
"""

from __future__ import annotations

from collections.abc import Callable

from chorus_handbook.warmups.suggesting.request import Request, Wish, wishes


def conflicting(request: Request, possible: Callable[[Request], bool]) -> list[Wish]:
    """An irreducible set of the wishes of a request that has no warm-up; empty if there is no
    warm-up even without any of them. `possible` says whether a request has one."""
    bare = request
    for wish in wishes(request):
        bare = wish.drop(bare)
    if not possible(bare):
        return []
    needed: list[Wish] = []
    for wish in wishes(request):
        without = wish.drop(request)
        if possible(without):
            needed.append(wish)
        else:
            request = without
    return needed
