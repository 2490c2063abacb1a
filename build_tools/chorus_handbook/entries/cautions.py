"""Collects the cautions (advice on taking care) that the page of an exercise shows.

They are the cautions that the author names, and those that vocabulary.yml attaches to the manner of
sounding, to the impact (effort) and to the actions of the body. A caution for one impact also
applies to every stronger impact, even if the vocabulary does not repeat it there, so that it cannot
be forgotten.
"""

from __future__ import annotations

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.model import FrontMatter


def cautions_for(front: FrontMatter, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The names of all cautions that apply to an exercise, in the order of vocabulary.yml."""
    named = set(front.cautions)
    sounding = vocabulary.soundings.get(front.sounding)
    named.update(sounding.cautions if sounding else ())
    for impact, cautions in vocabulary.impact_cautions.items():
        named.update(cautions if impact <= front.impact else ())
    for action in front.actions:
        known = vocabulary.actions.get(action)
        named.update(known.cautions if known else ())
    return tuple(name for name in vocabulary.cautions if name in named)
