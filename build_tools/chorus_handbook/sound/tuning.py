"""How far each note lies from equal temperament."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Tuned:
    """Cents against equal temperament by note id, one for each of a note's pitches; notes that are
    missing have none. `to` is what is held fixed, `told` the same in a sentence."""

    to: str = "tonic"
    told: str = "Equal temperament."
    cents: Mapping[str, tuple[float, ...]] = field(default_factory=lambda: MappingProxyType({}))
