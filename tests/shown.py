"""The engraver's own output for the drawings that stand in a page, before it is compacted."""

from __future__ import annotations

from collections.abc import Callable

from checked import Checked
from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.engine import Options, draw, draw_file, raw_svg
from chorus_handbook.engraving.exercise import layouts_in_clefs
from chorus_handbook.engraving.file_layouts import file_layouts
from chorus_handbook.engraving.layouts import KeyLayouts
from chorus_handbook.engraving.staves import part_labels
from chorus_handbook.pitch import Pitch


def as_engraved(document: str, options: Options) -> str:
    """What the engraver draws for a page."""
    return raw_svg(document, options.width, options.transpose)


def shown(
    book: Checked,
    slug: str,
    tonic: Pitch,
    drawn_by: Callable[[str, Options], str] = as_engraved,
    all_clefs: bool = False,
) -> list[str]:
    """The drawings of an exercise in a key, wide and narrow; in bass clef too, where `all_clefs`
    asks for it."""
    score, chorus = book.scores[slug].written, book.config.chorus
    assert chorus is not None
    asked: list[tuple[Svg, str]] = []

    def remembered(document: str, options: Options, picture: Svg) -> Svg:
        asked.append((picture, drawn_by(document, options)))
        return picture

    if score.file is None:
        layouts = layouts_in_clefs(score, chorus)
        drawings = [
            KeyLayouts(one, tonic, lambda mei, o: remembered(mei, o, draw(mei, o))).drawings(
                thumbnail=False
            )
            for one in layouts[: None if all_clefs else 1]
        ]
    else:
        drawings = [
            file_layouts(
                score.file,
                tonic,
                lambda jobs: [remembered(xml, o, draw_file(xml, o)) for xml, o in jobs],
                thumbnail=False,
                labels=part_labels(score.file, chorus),
            )
        ]
    pictures = [drawing.svg for one in drawings for drawing in (one.wide, one.narrow) if drawing]
    return [raw for picture, raw in asked if any(picture is p for p in pictures)]
