"""Drawings kept from build to build: an unchanged score is never drawn twice.

The store's key is made of everything a drawing depends on: the document, how it is to be drawn,
the engraver's version and settings, and the version of what compacts its output. What failed is
not stored.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from chorus_handbook import worker
from chorus_handbook.cache import Cache
from chorus_handbook.engraving import compact
from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import EngravingError, Options, draw, engraver_version
from chorus_handbook.worker import WorkerError

_DRAW_FILES = "chorus_handbook.engraving.engine:draw_files"


def drawn(mei: str, options: Options, cache: Cache) -> Picture:
    """The drawing of an MEI document, from the store or new. Raises EngravingError."""
    key = _key("drawing", mei, options)
    stored = cache.get(key)
    if stored is not None:
        return _picture(json.loads(stored))
    picture = draw(mei, options)
    cache.put(key, _stored(asdict(picture)))
    return picture


def drawn_files(jobs: Sequence[tuple[str, Options]], cache: Cache) -> list[Picture]:
    """The drawings of MusicXML documents, from the store, or in one request from the worker, where
    a file that crashes or hangs the engraver does no harm. Raises EngravingError."""
    keys = [_key("file", xml, options) for xml, options in jobs]
    found = {key: json.loads(kept) for key in keys if (kept := cache.get(key)) is not None}
    asked = {key: job for key, job in zip(keys, jobs, strict=True) if key not in found}
    if asked:
        requests = [{"xml": xml, "options": asdict(options)} for xml, options in asked.values()]
        try:
            answers = worker.call(_DRAW_FILES, requests, needs=("verovio",))
        except WorkerError as error:
            raise EngravingError(f"the file {error}") from error
        for key, answer in zip(asked, answers, strict=False):
            if "error" in answer:
                raise EngravingError(answer["error"])
            found[key] = answer["picture"]
            cache.put(key, _stored(answer["picture"]))
    return [_picture(found[key]) for key in keys]


def _key(kind: str, document: str, options: Options) -> str:
    return Cache.key(kind, document, repr(options), engraver_version(), compact.VERSION)


def _stored(picture: dict[str, Any]) -> bytes:
    return json.dumps(picture, ensure_ascii=False, sort_keys=True).encode()


def _picture(fields: dict[str, Any]) -> Picture:
    left, top, width, height = fields["box"]
    return Picture(
        fields["body"],
        (left, top, width, height),
        fields["symbols"],
        [(system, low, high) for system, low, high in fields["measures"]],
        fields["lead"],
        fields["measure_ids"],
    )
