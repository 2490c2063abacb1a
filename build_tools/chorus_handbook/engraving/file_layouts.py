"""From a score file in one key to its drawings, for the same papers as `layouts` has.

Bars are broken into systems but never cut; what is too wide for its paper even so gets smaller.
Everything is drawn in two requests: first one system at its natural width, with what may become
the thumbnail, then what is broken into systems.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import MARGIN_UNITS, EngravingError, Options
from chorus_handbook.engraving.file_keys import KeyNotPossibleError
from chorus_handbook.engraving.layouts import (
    MOST_NOTES,
    NARROW,
    SPREAD,
    THUMBNAIL,
    WIDE,
    Drawings,
    Paper,
    Sheet,
    fitted,
    name_width,
)
from chorus_handbook.engraving.score_file import ScoreFile
from chorus_handbook.engraving.systems import Margins, Stretch, breaks, widest
from chorus_handbook.music import score
from chorus_handbook.pitch import Pitch, interval_between, interval_name

#: Draws MusicXML documents, perhaps from a store.
DrawAll = Callable[[Sequence[tuple[str, Options]]], list[Picture]]


def file_layouts(
    file: score.ScoreFile,
    tonic: Pitch,
    draw: DrawAll,
    thumbnail: bool = True,
    labels: tuple[tuple[str, str, str], ...] = (),
) -> Drawings:
    """The drawings of one file in the key on `tonic`; `labels` are those of its parts, as
    `staves.part_labels` has them. Raises EngravingError."""
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
        whole = (source.text(WIDE.names, (), by), Options(widest=WIDE.room, transpose=moved))
    except KeyNotPossibleError as error:
        raise EngravingError(str(error)) from error
    small = Options(ids=False, transpose=moved)
    bars = (2, 1)[source.measures < 2 :] if thumbnail else ()
    natural, *openings = draw([whole, *((source.opening(count), small) for count in bars)])
    papers = [paper for paper in (WIDE, NARROW) if natural.box[2] > paper.room]
    broken = (
        draw([_broken(source, natural, paper, moved, by) for paper in papers]) if papers else []
    )
    sheets = {p: fitted(picture, p) for p, picture in zip(papers, broken, strict=True)}
    wide = sheets.get(WIDE) or fitted(natural, WIDE)
    return Drawings(wide, sheets.get(NARROW), _thumbnail(openings))


@lru_cache(maxsize=2)
def _source(xml: str, labels: tuple[tuple[str, str, str], ...]) -> ScoreFile:
    """A file, read once for all its keys."""
    return ScoreFile(xml, labels)


def _thumbnail(openings: Sequence[Picture]) -> Sheet | None:
    """The longest opening that fits, or the shortest; None where there is none."""
    fit = [picture for picture in openings if picture.box[2] <= THUMBNAIL.room]
    return fitted((fit or openings[-1:])[0], THUMBNAIL) if openings else None


def interval(written: Pitch, wanted: Pitch) -> str:
    """The name of the interval from one tonic to another, as the engraver takes it: "M3", "-m10";
    empty when they are the same."""
    steps, semitones = interval_between(written, wanted)
    if (steps, semitones) == (0, 0):
        return ""
    down = steps < 0 or (steps == 0 and semitones < 0)
    return ("-" if down else "") + interval_name(steps, semitones)


def _broken(
    source: ScoreFile, natural: Picture, paper: Paper, moved: str, by: tuple[int, int]
) -> tuple[str, Options]:
    """What to draw for the score in systems of at most the paper's width, spread equally wide."""
    drawn = [source.index(name) for name in natural.measure_ids]
    stretches = _stretches(source, natural, drawn)
    margins, room = _margins(source, natural, paper), paper.room
    starts = breaks(stretches, margins, room)
    if starts is None:  # a bar alone is too wide
        room = max(s.width for s in stretches) + max(margins.first, margins.later)
        starts = breaks(stretches, margins, room) or []
    width = min(room, widest(stretches, margins, starts) * SPREAD)
    text = source.text(paper.names, frozenset(drawn[start] for start in starts), by)
    return text, Options(int(width), paper.suffix, transpose=moved)


def _stretches(source: ScoreFile, natural: Picture, drawn: Sequence[int]) -> list[Stretch]:
    """The measures as they were drawn; one may stand for many, in which everyone rests."""
    opens = source.opens()
    return [
        Stretch(right - left - (natural.lead if n == 0 else 0), opens=opens[measure])
        for n, (measure, (_, left, right)) in enumerate(zip(drawn, natural.measures, strict=True))
    ]


def _margins(source: ScoreFile, natural: Picture, paper: Paper) -> Margins:
    """What stands before the measures; names that are not in the natural drawing are estimated."""
    names = source.short_names
    sides = 2 * MARGIN_UNITS + natural.lead
    short = max(map(name_width, names), default=0)
    first = natural.measures[0][1] if paper.names == WIDE.names else short
    return Margins(sides + first, sides + (short if len(names) > 1 else 0))
