"""Drawing files of strangers in the worker, where one that crashes or hangs the engraver does no
harm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from chorus_handbook import worker
from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import EngravingError, Options
from chorus_handbook.worker import WorkerError

_DRAW_FILES = "chorus_handbook.engraving.engine:draw_files"


def draw_apart(jobs: Sequence[tuple[str, Options]]) -> list[Picture]:
    """The drawings of MusicXML documents, in one request. Raises EngravingError."""
    requests = [{"xml": xml, "options": asdict(options)} for xml, options in jobs]
    try:
        answers = worker.call(_DRAW_FILES, requests, needs=("verovio",))
    except WorkerError as error:
        raise EngravingError(f"the file {error}") from error
    for answer in answers:
        if "error" in answer:
            raise EngravingError(answer["error"])
    return [Picture(**answer["picture"]) for answer in answers]
