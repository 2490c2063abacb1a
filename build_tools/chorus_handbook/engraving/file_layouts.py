"""Draws a MusicXML file in one key for all uses (a wide page, a phone and a thumbnail), as
`layouts` does for scores in our own notations.

A new system (row of staves) may begin with any bar. If a single bar is too wide, the whole drawing
is made smaller. Everything is drawn in two requests to the worker: first one long system and the
candidates for the thumbnail, then what has to be broken into systems.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.engine import MARGIN_UNITS, EngravingError, Options
from chorus_handbook.engraving.file_keys import KeyNotPossibleError
from chorus_handbook.engraving.layouts import (
    MOST_NOTES,
    NARROW,
    SPREAD,
    THUMBNAIL,
    WIDE,
    Drawing,
    Drawings,
    RenderTarget,
    fitted,
    name_width,
)
from chorus_handbook.engraving.score_file import PreparedFile
from chorus_handbook.engraving.systems import Margins, MeasureWidth, breaks, widest
from chorus_handbook.music import score
from chorus_handbook.pitch import Pitch, interval_between, interval_name

#: A function that draws several MusicXML documents, each with its options.
DrawAll = Callable[[Sequence[tuple[str, Options]]], list[Svg]]


def file_layouts(
    file: score.ScoreFile,
    tonic: Pitch,
    draw: DrawAll,
    thumbnail: bool = True,
    labels: tuple[tuple[str, str, str], ...] = (),
) -> Drawings:
    """The drawings of one file in the key on `tonic`. `labels` are the names of its parts, as
    `staves.part_labels` gives them. Raises EngravingError."""
    try:
        source = _source(file.xml, labels)
    except (SyntaxError, ValueError) as error:
        raise EngravingError(f"the file could not be read: {error}") from error
    if not source.measures:
        raise EngravingError("there is no bar in it")
    if source.notes > MOST_NOTES:
        raise EngravingError(f"{source.notes} notes are more than can be drawn in one piece")
    moved = interval(file.tonic, tonic)
    by = interval_between(file.tonic, tonic)
    try:
        whole = (source.text(WIDE.names, (), by), Options(transpose=moved))
    except KeyNotPossibleError as error:
        raise EngravingError(str(error)) from error
    small = Options(ids=False, transpose=moved)
    # how many bars the thumbnail may show: two, if there are two, or one
    bars: tuple[int, ...] = ()
    if thumbnail:
        bars = (2, 1) if source.measures > 1 else (1,)
    natural, *openings = draw([whole, *((source.opening(count), small) for count in bars)])
    targets = [target for target in (WIDE, NARROW) if natural.box[2] > target.room]
    broken = (
        draw([_broken(source, natural, target, moved, by) for target in targets]) if targets else []
    )
    drawn = {target: fitted(svg, target) for target, svg in zip(targets, broken, strict=True)}
    wide = drawn.get(WIDE) or fitted(natural, WIDE)
    return Drawings(wide, drawn.get(NARROW), _thumbnail(openings))


@lru_cache(maxsize=2)
def _source(xml: str, labels: tuple[tuple[str, str, str], ...]) -> PreparedFile:
    """A file, read once for all its keys."""
    return PreparedFile(xml, labels)


def _thumbnail(openings: Sequence[Svg]) -> Drawing | None:
    """The longest opening that fits a thumbnail, else the shortest; None if there are none."""
    fit = [svg for svg in openings if svg.box[2] <= THUMBNAIL.room]
    return fitted((fit or openings[-1:])[0], THUMBNAIL) if openings else None


def interval(written: Pitch, wanted: Pitch) -> str:
    """The interval from one tonic to another in the engraver's notation: "M3", "-m10"; empty when
    they are the same."""
    steps, semitones = interval_between(written, wanted)
    if (steps, semitones) == (0, 0):
        return ""
    down = steps < 0 or (steps == 0 and semitones < 0)
    return ("-" if down else "") + interval_name(steps, semitones)


def _broken(
    source: PreparedFile, natural: Svg, target: RenderTarget, moved: str, by: tuple[int, int]
) -> tuple[str, Options]:
    """The document and the options with which to draw the score in systems that fit the target's
    width, all equally wide.

    natural: the drawing as one long system, in which the bars are measured.
    moved, by: the interval by which the file is transposed, as the engraver writes it, and in steps
        and semitones.
    """
    drawn = [source.index(name) for name in natural.measure_ids]
    widths = _widths(source, natural, drawn)
    margins, room = _margins(source, natural, target), target.room
    starts = breaks(widths, margins, room)
    if starts is None:  # a bar alone is too wide
        room = max(one.width for one in widths) + max(margins.first, margins.later)
        starts = breaks(widths, margins, room) or []
    width = min(room, widest(widths, margins, starts) * SPREAD)
    text = source.text(target.names, frozenset(drawn[start] for start in starts), by)
    return text, Options(int(width), target.suffix, transpose=moved)


def _widths(source: PreparedFile, natural: Svg, drawn: Sequence[int]) -> list[MeasureWidth]:
    """The widths of the drawn measures. (A rest of many bars is drawn as one measure.)"""
    opens = source.opens()
    return [
        MeasureWidth(right - left - (natural.lead if n == 0 else 0), opens=opens[measure])
        for n, (measure, (_, left, right)) in enumerate(zip(drawn, natural.measures, strict=True))
    ]


def _margins(source: PreparedFile, natural: Svg, target: RenderTarget) -> Margins:
    """The room before the measures of a system. The width of names that are not in the natural
    drawing is estimated."""
    names = source.short_names
    sides = 2 * MARGIN_UNITS + natural.lead
    short = max(map(name_width, names), default=0)
    first = natural.measures[0][1] if target.names == WIDE.names else short
    return Margins(sides + first, sides + (short if len(names) > 1 else 0))
