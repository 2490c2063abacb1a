"""Drawings kept from build to build: an unchanged score is never drawn twice."""

from __future__ import annotations

import json
from dataclasses import asdict

from chorus_handbook.cache import Cache
from chorus_handbook.engraving import compact
from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import Options, draw, engraver_version


def drawn(mei: str, options: Options, cache: Cache) -> Picture:
    """The drawing of an MEI document, from the store or new. Raises EngravingError; what failed
    is not stored.

    The store's key is made of everything a drawing depends on: the document, how it is to be
    drawn, the engraver's version and settings, and the version of what compacts its output.
    """
    key = Cache.key("drawing", mei, repr(options), engraver_version(), compact.VERSION)
    stored = cache.get(key)
    if stored is not None:
        return _from_json(stored)
    picture = draw(mei, options)
    cache.put(key, json.dumps(asdict(picture), ensure_ascii=False, sort_keys=True).encode())
    return picture


def _from_json(stored: bytes) -> Picture:
    fields = json.loads(stored)
    left, top, width, height = fields["box"]
    return Picture(
        fields["body"],
        (left, top, width, height),
        fields["symbols"],
        [(system, low, high) for system, low, high in fields["measures"]],
        fields["lead"],
    )
