"""From a score in one key to its drawings: as wide as a page, as narrow as a phone, as small as a
line of a list.

The first drawing is always one system at its natural width; what is too wide for its page is
broken by the widths found there, and a bar that alone is too wide is cut at its beats first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import MARGIN_UNITS, STAFF_UNITS, EngravingError, Options
from chorus_handbook.engraving.mei import Names, Show, write_mei
from chorus_handbook.engraving.systems import Margins, Stretch, breaks, widest
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.engraving.written import Written, write
from chorus_handbook.music.keys import signature
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

#: Draws an MEI document, perhaps from a store.
Draw = Callable[[str, Options], Picture]

#: More written notes than this take minutes to draw and do not belong in one exercise.
MOST_NOTES = 5000
#: How often a score is drawn anew with its too wide bars cut finer.
_MOST_CUTS = 4
#: Systems are spread so much beyond the widest one's natural width, where there is room.
SPREAD = 1.04
#: Widths of letters in short names, and of the bracket before staves that belong together.
_CAPITAL, _SMALL, _POINT, _BRACKET = 0.7 * LYRIC_SIZE, 0.5 * LYRIC_SIZE, 0.25 * LYRIC_SIZE, 380
#: Key signatures as the engraver draws them, in units: a sign, and what stands before the first.
_SHARP, _FLAT, _BEFORE_SHARPS, _BEFORE_FLATS = 178, 180, 143, 142
_ACCIDENTAL = ' accid="'
#: A draft that is wider than the page by less than this, in units, is drawn in its own key: so much
#: may a width that follows from another key be wrong (docs/decisions/0015).
DOUBTFUL = 600
#: A first bar shorter than this many quarters needs a second one in a thumbnail.
_ENOUGH = 3
#: Two bars that with their words are so many times wider than a thumbnail will not fit one.
_HOPELESS = 1.2


@dataclass(frozen=True, slots=True)
class Paper:
    """What a drawing is for: the room it has and the height of its staves, in CSS pixels. What
    leaves room over is drawn larger, up to `largest`."""

    width: int
    staff: float
    largest: float
    names: Names
    suffix: str = ""

    @property
    def scale(self) -> float:
        """CSS pixels to a unit of the drawing."""
        return self.staff / STAFF_UNITS

    @property
    def room(self) -> float:
        """The room in units of the drawing."""
        return self.width / self.scale


#: A page of text; a phone's screen between its margins; a line in a list.
WIDE = Paper(680, 31, 31, "full")
NARROW = Paper(358, 26, 31, "short", suffix=".n")
THUMBNAIL = Paper(170, 18, 18, "none")
#: How the first drawing is made: one that is too wide for all papers will not be shown.
_DRAFT = Options(widest=WIDE.room)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A finished drawing and its size in CSS pixels."""

    picture: Picture
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Drawings:
    """A score on all papers; `narrow` is None where the wide drawing fits a phone, `thumbnail`
    where none was wanted."""

    wide: Sheet
    narrow: Sheet | None
    thumbnail: Sheet | None


@dataclass(frozen=True, slots=True)
class _Draft:
    """A score drawn as one system, to see how wide its measures are. `longest` as for `write`."""

    written: Written
    names: Names
    longest: Mapping[int, Fraction]
    picture: Picture


class Forms:
    """What the keys of one score share: its written forms, as it is and with bars cut, and the
    widths that were found in drafts."""

    def __init__(self, score: Score, chorus: Chorus) -> None:
        self._score = score
        self._chorus = chorus
        self._known: dict[object, Written] = {}
        self._drafts: dict[object, tuple[float, Picture]] = {}

    def cut(self, longest: Mapping[int, Fraction]) -> Written:
        """As `write` says."""
        name = tuple(longest.items())
        if name not in self._known:
            self._known[name] = write(self._score, self._chorus, longest)
        return self._known[name]

    def measured(self, form: object, mei: str, tonic: Pitch) -> Picture | None:
        """The widths of a written form in the key on `tonic`, if they follow from a draft in
        another key: where no accidental is printed, only the signature differs."""
        draft = None if _ACCIDENTAL in mei else self._drafts.get(form)
        return _widened(draft[1], self._signature(tonic) - draft[0]) if draft else None

    def remember(self, form: object, mei: str, tonic: Pitch, picture: Picture) -> None:
        """Let other keys use the widths of a draft."""
        if _ACCIDENTAL not in mei:
            widths = replace(picture, body="", symbols={})
            self._drafts[form] = self._signature(tonic), widths

    def _signature(self, tonic: Pitch) -> float:
        pitched = any(part.sung for part in self._score.parts)
        fifths = max(-7, min(7, signature(tonic, self._score.mode)))
        return signature_width(fifths) if pitched else 0


class Layouts:
    """The drawings of one score in one key. Every method may raise EngravingError."""

    def __init__(self, forms: Forms, tonic: Pitch, draw: Draw) -> None:
        self._forms = forms
        self._tonic = tonic
        self._draw = draw
        self._natural = self._draft(WIDE, {}, may_be_shown=True)

    def drawings(self, thumbnail: bool = True) -> Drawings:
        """The score on all papers, or on all but the smallest."""
        return Drawings(self.wide(), self.narrow(), self.thumbnail() if thumbnail else None)

    def wide(self) -> Sheet:
        """One system where it fits a page of text, else several."""
        picture = self._natural.picture
        if picture.box[2] <= WIDE.room:
            return fitted(picture, WIDE)
        return self._broken(WIDE, self._natural)

    def narrow(self) -> Sheet | None:
        """Systems for a phone; None where the natural drawing fits a phone as it is."""
        if self._natural.picture.box[2] <= NARROW.room:
            return None
        return self._broken(NARROW, self._natural)

    def thumbnail(self) -> Sheet:
        """The first bar or two of the top staff: notes alone."""
        for measures, longest in self._openings():
            written = self._forms.cut(longest)
            show = Show(names="none", words=False, marks=False)
            mei = write_mei(written.opening(measures), self._tonic, show)
            picture = self._draw(mei, Options(ids=False))
            if picture.box[2] <= THUMBNAIL.room:
                break
        return fitted(picture, THUMBNAIL)

    def _openings(self) -> Iterator[tuple[int, Mapping[int, Fraction]]]:
        """What a thumbnail may show, the most first: how many measures, of bars cut how."""
        bars = self._natural.written.measures[:2]
        width = sum(s.width for s in _stretches(self._natural)[:2]) + self._natural.picture.lead
        if width < _HOPELESS * THUMBNAIL.room:
            yield 2, {}
        last = 1 if bars[0].length < _ENOUGH and len(bars) > 1 else 0
        if last == 0:
            yield 1, {}
        for parts in (2, 4, 8):
            yield last + 1, {last: bars[last].length / parts}

    def _draft(
        self, paper: Paper, longest: Mapping[int, Fraction], may_be_shown: bool = False
    ) -> _Draft:
        written = self._forms.cut(longest)
        notes = sum(map(len, written.placed))
        if notes > MOST_NOTES:
            raise EngravingError(f"{notes} notes are more than can be drawn in one piece")
        mei = write_mei(written, self._tonic, Show(names=paper.names))
        form = paper.names, *longest.items()
        picture = self._forms.measured(form, mei, self._tonic)
        if picture is None or (may_be_shown and picture.box[2] < WIDE.room + DOUBTFUL):
            picture = self._draw(mei, _DRAFT)
            self._forms.remember(form, mei, self._tonic, picture)
        return _Draft(written, paper.names, longest, picture)

    def _broken(self, paper: Paper, draft: _Draft) -> Sheet:
        """The score in systems of at most the paper's width, all spread equally wide. Where not
        even single beats fit, everything gets smaller."""
        stretches, margins, room = _stretches(draft), _margins(draft, paper), paper.room
        starts = breaks(stretches, margins, room)
        for _ in range(_MOST_CUTS):
            if starts is not None:
                break
            draft = self._draft(paper, _finer(draft, stretches, margins, room))
            stretches, margins = _stretches(draft), _margins(draft, paper)
            starts = breaks(stretches, margins, room)
        if starts is None:
            room = max(s.width for s in stretches) + max(margins.first, margins.later)
            starts = breaks(stretches, margins, room) or []
        show = Show(names=paper.names, breaks=frozenset(starts))
        mei = write_mei(draft.written, self._tonic, show)
        width = min(room, widest(stretches, margins, starts) * SPREAD)
        return fitted(self._draw(mei, Options(int(width), paper.suffix)), paper)


def signature_width(fifths: int) -> float:
    """How much room the engraver gives a key signature of so many sharps, or flats below 0."""
    if fifths == 0:
        return 0
    return _BEFORE_SHARPS + _SHARP * fifths if fifths > 0 else _BEFORE_FLATS - _FLAT * fifths


def _widened(draft: Picture, by: float) -> Picture:
    """A draft, which is one system, with so much more room before its first note."""
    left, top, width, height = draft.box
    moved = [
        (n, low + by * bool(place), high + by)
        for place, (n, low, high) in enumerate(draft.measures)
    ]
    return replace(draft, box=(left, top, width + by, height), measures=moved, lead=draft.lead + by)


def fitted(picture: Picture, paper: Paper) -> Sheet:
    """A drawing at the size at which it stands on its paper."""
    _, _, width, height = picture.box
    scale = min(paper.largest / STAFF_UNITS, paper.width / width)
    return Sheet(picture, math.ceil(width * scale), math.ceil(height * scale))


def _stretches(draft: _Draft) -> list[Stretch]:
    """The measures of a draft as pieces to be put into systems."""
    lines = ["", *(m.bar_line for m in draft.written.measures)]
    stretches = []
    for n, (measure, (_, left, right)) in enumerate(
        zip(draft.written.measures, draft.picture.measures, strict=True)
    ):
        width = right - left - (draft.picture.lead if n == 0 else 0)
        stretches.append(Stretch(width, measure.continues, lines[n] == "dbl"))
    return stretches


def _margins(draft: _Draft, paper: Paper) -> Margins:
    """What stands before the measures; names that the draft does not show are estimated."""
    staves = draft.written.staves
    sides = 2 * MARGIN_UNITS + draft.picture.lead
    short = max(name_width(staff.short) for staff in staves)
    first = draft.picture.measures[0][1] if draft.names == paper.names else short
    return Margins(sides + first, sides + (short if len(staves) > 1 else 0))


def name_width(name: str) -> float:
    """About how much room a name takes before its staff, with the bracket behind it."""
    return sum(map(_letter, name)) + _BRACKET


def _letter(letter: str) -> float:
    """About how wide a letter is."""
    return _CAPITAL if letter.isupper() else _SMALL if letter.isalnum() else _POINT


def _finer(
    draft: _Draft, stretches: Sequence[Stretch], margins: Margins, room: float
) -> dict[int, Fraction]:
    """Shorter lengths for the bars whose measures are still too wide."""
    longest = dict(draft.longest)
    free = max(room - max(margins.first, margins.later), 1)
    for measure, stretch in zip(draft.written.measures, stretches, strict=True):
        pieces = math.ceil(stretch.width / free)
        if pieces > 1:
            allowed = measure.length / pieces
            longest[measure.bar] = min(longest.get(measure.bar, allowed), allowed)
    return longest
