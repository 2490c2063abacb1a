"""Records which documents the engraver draws in a build, and which of the drawings readers see."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.engine import Options, draw, draw_file, engraver_options
from chorus_handbook.engraving.exercise import layouts_in_clefs
from chorus_handbook.engraving.file_layouts import file_layouts
from chorus_handbook.engraving.layouts import Drawings, KeyLayouts
from chorus_handbook.engraving.staves import part_labels
from chorus_handbook.records.parts import Parts


@dataclass(slots=True)
class Render:
    """One drawing that the engraver made.

    document: what it drew, as MEI or MusicXML.
    options: the engraver's options for it.
    shown: whether readers see the drawing.
    page: the slug of the exercise whose page contains it; empty if no page does.
    """

    document: str
    options: dict[str, object]
    shown: bool = False
    page: str = ""


class _Recorder:
    """Stands in for the engraver: passes every request on to it, and records the request and its
    result in `renders`."""

    def __init__(self) -> None:
        self.renders: list[Render] = []
        self._pictures: list[Svg] = []

    def draw(self, mei: str, options: Options) -> Svg:
        return self._record(mei, options, draw(mei, options))

    def draw_files(self, jobs: Sequence[tuple[str, Options]]) -> list[Svg]:
        return [self._record(xml, options, draw_file(xml, options)) for xml, options in jobs]

    def show(self, drawings: Drawings, page: str) -> None:
        """Of the renders since the last call, mark those that readers see: those in the page of an
        exercise, and the thumbnail in lists. The others only served to find widths and line breaks.
        """
        in_page = [drawing.svg for drawing in (drawings.wide, drawings.narrow) if drawing]
        thumbnail = drawings.thumbnail.svg if drawings.thumbnail else None
        newest = self.renders[-len(self._pictures) :]
        for render, svg in zip(newest, self._pictures, strict=True):
            if any(svg is one for one in in_page):
                render.page = page
            render.shown = bool(render.page) or svg is thumbnail
        self._pictures = []

    def _record(self, document: str, options: Options, svg: Svg) -> Svg:
        given = engraver_options(document, options.width, options.transpose)
        self.renders.append(Render(document, given))
        self._pictures.append(svg)
        return svg


def renders(root: Path) -> list[Render]:
    """Every render of a cold build of the handbook in `root`, in order."""
    book = pipeline.read(root)
    chorus = book.config.chorus
    assert chorus is not None
    parts, recorder = Parts(root, chorus, Cache(None)), _Recorder()
    for slug, exercise in book.exercises.items():
        drawable = parts.drawable(exercise)
        if drawable is None:
            continue
        score = drawable.score
        usual, *others = layouts_in_clefs(score, chorus)
        for tonic in drawable.tonics:
            with_thumbnail = tonic == drawable.tonics[0]
            if score.file is None:
                drawings = KeyLayouts(usual, tonic, recorder.draw).drawings(with_thumbnail)
            else:
                labels = part_labels(score.file, chorus)
                drawings = file_layouts(
                    score.file, tonic, recorder.draw_files, with_thumbnail, labels
                )
            recorder.show(drawings, slug)
            for layouts in others:
                recorder.show(KeyLayouts(layouts, tonic, recorder.draw).drawings(False), slug)
    return recorder.renders
