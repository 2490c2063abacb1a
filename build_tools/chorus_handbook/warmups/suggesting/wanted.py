"""Decides which exercises a suggestion may use at all. It leaves out those that the request avoids,
and those that do not belong in a warm-up unless the request asks for them."""

from __future__ import annotations

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.planning import IN_PLACE
from chorus_handbook.warmups.suggesting.demands import ANY_FORMATION, depends_on_formation
from chorus_handbook.warmups.suggesting.request import Request


def is_wanted(exercise: Exercise, request: Request, vocabulary: Vocabulary) -> bool:
    """Whether an exercise may be chosen for a request, whatever its place, its keys and its time
    in the warm-up would be."""
    front = exercise.front
    if exercise.slug in request.avoid or {*request.avoid_goals} & {*front.goals}:
        return False
    main = vocabulary.goals.get(front.goals[0])
    if front.sounding in request.avoid_soundings or (
        main and main.family in request.avoid_families
    ):
        return False
    if not _can_stand(front, request, vocabulary):
        return False
    if exercise.slug in request.keep:
        return True
    after = front.moment == "after"  # singing, and a warm-up comes before
    return not (
        after or exercise.slug in request.left_out or _sits_down(front, request, vocabulary)
    )


def _can_stand(front: FrontMatter, request: Request, vocabulary: Vocabulary) -> bool:
    """Whether an exercise can be sung in a formation that the request does not avoid."""
    if front.formation not in request.avoid_formations or request.kind in IN_PLACE:
        return True
    depends = depends_on_formation(front.formation, vocabulary)
    return not depends and bool(other_formation(front, request, vocabulary))


def other_formation(front: FrontMatter, request: Request, vocabulary: Vocabulary) -> str | None:
    """The formation to use instead of an exercise's own if the request avoids that: the first in
    the vocabulary on which no exercise depends. None if its own will do, or if there is no
    other."""
    avoided = request.avoid_formations
    if front.formation not in avoided or request.kind in IN_PLACE:
        return None
    return next(
        (
            name
            for name, one in vocabulary.formations.items()
            if one.diagram in ANY_FORMATION and name not in avoided
        ),
        None,
    )


def _sits_down(front: FrontMatter, request: Request, vocabulary: Vocabulary) -> bool:
    """Whether everyone would have to sit down just for this exercise. Such exercises are left out
    unless the request asks for them (our choice)."""
    shown = vocabulary.formations.get(front.formation or "")
    return bool(shown and shown.diagram == "seated") and request.kind not in IN_PLACE
