"""Draws a score in one key for all uses: a page, a phone, and a thumbnail in a list.

The first drawing (the draft) is always one long system (row of staves). If that is too wide for its
use, the score is drawn again in several systems, chosen by the widths of the measures in the draft.
A bar that is too wide by itself is first cut at its beats.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.describe import legend
from chorus_handbook.engraving.engine import MARGIN_UNITS, STAFF_UNITS, EngravingError, Options
from chorus_handbook.engraving.mei import Names, Show, write_mei
from chorus_handbook.engraving.systems import Margins, MeasureWidth, breaks, widest
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.engraving.written import WrittenScore, write
from chorus_handbook.music.keys import signature
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import ClefName, Pitch

#: A function that draws an MEI document.
Draw = Callable[[str, Options], Svg]

#: The most written notes of one exercise. More would take minutes to draw.
MOST_NOTES = 5000
#: How often a score is drawn again with its widest bars cut into shorter pieces.
_MOST_CUTS = 4
#: Where there is room, systems are spread to this multiple of the widest one's natural width.
SPREAD = 1.04
#: Widths in units of the drawing: of capitals, other letters and points in names before a staff,
#: and of the bracket before staves that belong together.
_CAPITAL, _SMALL, _POINT, _BRACKET = 0.7 * LYRIC_SIZE, 0.5 * LYRIC_SIZE, 0.25 * LYRIC_SIZE, 380
#: Widths in key signatures as the engraver draws them, in units: of one sharp or flat, and of the
#: space before the first.
_SHARP, _FLAT, _BEFORE_SHARPS, _BEFORE_FLATS = 178, 180, 143, 142
#: What stands in MEI where an accidental is printed.
_ACCIDENTAL = ' accid="'
#: How wrong a width computed from the draft in another key may be, in units. A draft that exceeds
#: the page by less is therefore drawn in its own key (docs/decisions/0017).
WIDTH_ERROR = 600
#: A first bar shorter than this many quarters is shown with the second one in a thumbnail.
_ENOUGH = 3
#: Two bars that, with their words, are at least this many times as wide as a thumbnail do not fit
#: even without their words. They are not drawn, to save time.
_TOO_WIDE = 1.2


@dataclass(frozen=True, slots=True)
class RenderTarget:
    """A use of a drawing, such as on a phone. Lengths are in CSS pixels.

    width: the width that is available.
    staff: the usual height of a staff.
    largest: the height of a staff up to which a drawing that is narrower than `width` is enlarged.
    names: which names are before the staves.
    suffix: what is added to the ids in the drawing.
    """

    width: int
    staff: float
    largest: float
    names: Names
    suffix: str = ""

    @property
    def scale(self) -> float:
        """CSS pixels per unit of the drawing."""
        return self.staff / STAFF_UNITS

    @property
    def room(self) -> float:
        """The width in units of the drawing."""
        return self.width / self.scale


#: A page of text; a phone's screen between its margins; a line in a list.
WIDE = RenderTarget(680, 31, 31, "full")
NARROW = RenderTarget(358, 26, 31, "short", suffix=".n")
THUMBNAIL = RenderTarget(170, 18, 18, "none")
#: The ending of ids in drawings for readers of a bass clef, which the same page contains as well.
BASS_SUFFIX = ".b"


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished drawing and its size in CSS pixels."""

    svg: Svg
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Drawings:
    """A score for all targets; `narrow` is None where the wide drawing fits a phone, `thumbnail`
    where none was requested."""

    wide: Drawing
    narrow: Drawing | None
    thumbnail: Drawing | None


@dataclass(frozen=True, slots=True)
class _Draft:
    """A score drawn as one system, to measure its bars. `longest`: see `written.write`."""

    written: WrittenScore
    names: Names
    longest: Mapping[int, Fraction]
    svg: Svg


class ScoreLayouts:
    """What the drawings of one score share in all keys: the written notes (with whole bars, and
    with bars that are cut), and the widths measured in drafts (drawings in one long system, made
    first to see how wide everything is)."""

    def __init__(self, score: Score, chorus: Chorus, clef: ClefName = "treble") -> None:
        self._score = score
        self._chorus = chorus
        self._clef = clef
        #: Added to every id in these drawings; the target's suffix follows it.
        self.suffix = "" if clef == "treble" else BASS_SUFFIX
        self._written: dict[object, WrittenScore] = {}
        self._drafts: dict[object, tuple[float, Svg]] = {}

    @cached_property
    def legend(self) -> str:
        """What a reader must know of every drawing in this clef (`describe.legend`)."""
        return legend(self._score, self._chorus, self._clef)

    def written(self, longest: Mapping[int, Fraction]) -> WrittenScore:
        """The written score, made once for each `longest` (see `written.write`)."""
        name = tuple(longest.items())
        if name not in self._written:
            self._written[name] = write(self._score, self._chorus, longest, self._clef)
        return self._written[name]

    def widths_in_key(self, form: object, mei: str, tonic: Pitch) -> Svg | None:
        """A draft in the key on `tonic`, without drawing it: its widths are computed from a draft
        in another key. None if there is no draft in another key, or if an accidental is printed,
        which takes room. `form` identifies what is drafted (names and cuts), `mei` is the document
        in this key."""
        draft = None if _ACCIDENTAL in mei else self._drafts.get(form)
        return _widened(draft[1], self._signature(tonic) - draft[0]) if draft else None

    def save_widths(self, form: object, mei: str, tonic: Pitch, svg: Svg) -> None:
        """Let other keys use the widths of a draft, unless accidentals are printed in it."""
        if _ACCIDENTAL not in mei:
            widths = replace(svg, body="", symbols={})
            self._drafts[form] = self._signature(tonic), widths

    def _signature(self, tonic: Pitch) -> float:
        """The width of the key signature of the key on `tonic`; 0 for music without pitches."""
        pitched = any(part.sung for part in self._score.parts)
        fifths = max(-7, min(7, signature(tonic, self._score.mode)))
        return signature_width(fifths) if pitched else 0


class KeyLayouts:
    """The drawings of one score in one key. Every method may raise EngravingError."""

    def __init__(self, shared: ScoreLayouts, tonic: Pitch, draw: Draw) -> None:
        self._shared = shared
        self._tonic = tonic
        self._draw = draw
        self._natural = self._draft(WIDE, {}, may_be_shown=True)

    def drawings(self, thumbnail: bool = True) -> Drawings:
        """All drawings; the thumbnail only if requested."""
        return Drawings(self.wide(), self.narrow(), self.thumbnail() if thumbnail else None)

    def wide(self) -> Drawing:
        """The drawing for a page of text: one system if that fits its width, otherwise several."""
        svg = self._natural.svg
        if svg.box[2] <= WIDE.room:
            return fitted(svg, WIDE)
        return self._broken(WIDE, self._natural)

    def narrow(self) -> Drawing | None:
        """The drawing for a phone, in several systems; None if the drawing in one system fits a
        phone."""
        if self._natural.svg.box[2] <= NARROW.room:
            return None
        return self._broken(NARROW, self._natural)

    def thumbnail(self) -> Drawing:
        """The drawing for lists: the first bar or two of the staff that enters first, with notes
        alone."""
        for measures, longest in self._openings():
            written = self._shared.written(longest)
            show = Show(names="none", words=False, marks=False)
            mei = write_mei(written.opening(measures), self._tonic, show)
            svg = self._draw(mei, Options(ids=False))
            if svg.box[2] <= THUMBNAIL.room:
                break
        return fitted(svg, THUMBNAIL)

    def _openings(self) -> Iterator[tuple[int, Mapping[int, Fraction]]]:
        """What a thumbnail may show, the longest first: the number of measures, and for a bar that
        is cut, the longest measure allowed (see `written.write`)."""
        start, _staff = self._natural.written.entry()
        bars = self._natural.written.measures[start : start + 2]
        widths = _widths(self._natural)[start : start + 2]
        width = sum(w.width for w in widths) + self._natural.svg.lead
        if width < _TOO_WIDE * THUMBNAIL.room:
            yield 2, {}
        last = 1 if bars[0].length < _ENOUGH and len(bars) > 1 else 0
        if last == 0:
            yield 1, {}
        for parts in (2, 4, 8):
            yield last + 1, {bars[last].bar: bars[last].length / parts}

    def _draft(
        self, target: RenderTarget, longest: Mapping[int, Fraction], may_be_shown: bool = False
    ) -> _Draft:
        """The score as one system with the names of the target. Its widths may be computed instead
        of drawn, unless it is so narrow that it may be shown itself."""
        written = self._shared.written(longest)
        notes = sum(map(len, written.placed))
        if notes > MOST_NOTES:
            raise EngravingError(f"{notes} notes are more than can be drawn in one piece")
        mei = write_mei(written, self._tonic, Show(names=target.names))
        form = target.names, *longest.items()
        svg = self._shared.widths_in_key(form, mei, self._tonic)
        if svg is None or (may_be_shown and svg.box[2] < WIDE.room + WIDTH_ERROR):
            svg = self._draw(mei, Options(suffix=self._shared.suffix))
            self._shared.save_widths(form, mei, self._tonic, svg)
        return _Draft(written, target.names, longest, svg)

    def _broken(self, target: RenderTarget, draft: _Draft) -> Drawing:
        """The score in systems no wider than the target, all equally wide. If a single beat does
        not fit, everything is drawn smaller."""
        widths, margins, room = _widths(draft), _margins(draft, target), target.room
        starts = breaks(widths, margins, room)
        for _ in range(_MOST_CUTS):
            if starts is not None:
                break
            draft = self._draft(target, _finer(draft, widths, margins, room))
            widths, margins = _widths(draft), _margins(draft, target)
            starts = breaks(widths, margins, room)
        if starts is None:
            room = max(one.width for one in widths) + max(margins.first, margins.later)
            starts = breaks(widths, margins, room) or []
        show = Show(names=target.names, breaks=frozenset(starts))
        mei = write_mei(draft.written, self._tonic, show)
        width = min(room, widest(widths, margins, starts) * SPREAD)
        options = Options(int(width), self._shared.suffix + target.suffix)
        return fitted(self._draw(mei, options), target)


def signature_width(fifths: int) -> float:
    """The width of a key signature as the engraver draws it, in units; `fifths` counts sharps, or
    flats if negative."""
    if fifths == 0:
        return 0
    return _BEFORE_SHARPS + _SHARP * fifths if fifths > 0 else _BEFORE_FLATS - _FLAT * fifths


def _widened(draft: Svg, by: float) -> Svg:
    """A draft in which the first note and all that follows it are moved right by `by` units."""
    left, top, width, height = draft.box
    moved = [
        # the left edge of the first measure stays: it is where the clef stands
        (system, left_edge + by * bool(place), right_edge + by)
        for place, (system, left_edge, right_edge) in enumerate(draft.measures)
    ]
    return replace(draft, box=(left, top, width + by, height), measures=moved, lead=draft.lead + by)


def fitted(svg: Svg, target: RenderTarget) -> Drawing:
    """A drawing at the size at which its target shows it."""
    _, _, width, height = svg.box
    scale = min(target.largest / STAFF_UNITS, target.width / width)
    return Drawing(svg, math.ceil(width * scale), math.ceil(height * scale))


def _widths(draft: _Draft) -> list[MeasureWidth]:
    """The widths of a draft's measures without clef and key signature."""
    lines = ["", *(m.bar_line for m in draft.written.measures)]
    widths = []
    for n, (measure, (_, left, right)) in enumerate(
        zip(draft.written.measures, draft.svg.measures, strict=True)
    ):
        width = right - left - (draft.svg.lead if n == 0 else 0)
        widths.append(MeasureWidth(width, measure.continues, lines[n] == "dbl"))
    return widths


def _margins(draft: _Draft, target: RenderTarget) -> Margins:
    """The room before the measures of a system; the width of names that are not in the draft is
    estimated."""
    staves = draft.written.staves
    sides = 2 * MARGIN_UNITS + draft.svg.lead
    short = max(name_width(staff.short) for staff in staves)
    first = draft.svg.measures[0][1] if draft.names == target.names else short
    return Margins(sides + first, sides + (short if len(staves) > 1 else 0))


def name_width(name: str) -> float:
    """The estimated width of a name before its staff, bracket included."""
    return _BRACKET + sum(
        _CAPITAL if letter.isupper() else _SMALL if letter.isalnum() else _POINT for letter in name
    )


def _finer(
    draft: _Draft, widths: Sequence[MeasureWidth], margins: Margins, room: float
) -> dict[int, Fraction]:
    """Maps the index of each bar that has to be cut to the greatest length of its pieces (in
    quarters). For bars that are still too wide, that is less than in the draft."""
    longest = dict(draft.longest)
    free = max(room - max(margins.first, margins.later), 1)
    for measure, measure_width in zip(draft.written.measures, widths, strict=True):
        pieces = math.ceil(measure_width.width / free)
        if pieces > 1:
            allowed = measure.length / pieces
            longest[measure.bar] = min(longest.get(measure.bar, allowed), allowed)
    return longest
