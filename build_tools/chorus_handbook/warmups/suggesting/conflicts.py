"""Names the wishes that do not go together when no warm-up meets a request.

The wishes are tried one by one. If there is still no warm-up without a wish, that wish is not what
stands in the way, and it is dropped for good. The wishes that remain cannot be met together, but
as soon as any one of them is given up, there is a warm-up (they are an *irreducible* set). If there
is no warm-up even without any wish, the chorus's exercises themselves do not suffice.
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
