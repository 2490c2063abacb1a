"""Which cautions an exercise carries.

The author's own and those that the vocabulary attaches: to the manner of sounding, to the impact,
to what the body does. Nobody has to remember them, and nobody can forget them: what holds for one
impact holds for every stronger one, whether or not the vocabulary says it again.
"""

from __future__ import annotations

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.model import FrontMatter


def cautions_for(front: FrontMatter, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The names of all cautions that apply, each once, in the vocabulary's order."""
    named = set(front.cautions)
    sounding = vocabulary.soundings.get(front.sounding)
    named.update(sounding.cautions if sounding else ())
    for impact, cautions in vocabulary.impact_cautions.items():
        named.update(cautions if impact <= front.impact else ())
    for action in front.actions:
        known = vocabulary.actions.get(action)
        named.update(known.cautions if known else ())
    return tuple(name for name in vocabulary.cautions if name in named)
