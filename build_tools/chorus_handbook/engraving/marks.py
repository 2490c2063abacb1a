"""Writes the marks of a score as MEI (the XML that the engraver reads): breaths, fermatas, slurs,
glides, dynamics, hairpins, and the numbers of the entries of a round.

Each function takes the written notes of one staff (`placed`) and yields the marks, each with the
index of the measure that it belongs to. A staff is given by its number, from 1.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import groupby, pairwise

from chorus_handbook.engraving.written import PlacedEvent, WrittenScore
from chorus_handbook.music.score import Dynamic, Note, Score, Span

#: How far before the end of its note a breath mark stands, as a share of the last written note.
_BREATH_AHEAD = Fraction(1, 4)
#: MEI's names of hairpins.
_HAIRPINS = {"<": "cres", ">": "dim"}

#: The index of a measure, and a mark in it as MEI.
Mark = tuple[int, str]


@lru_cache(maxsize=16)
def marks(written: WrittenScore) -> list[str]:
    """For each measure, in order, the MEI of its marks on all staves. It is the same in every
    key."""
    found = [""] * len(written.measures)
    clock = _Clock(written)
    for n, (staff, placed) in enumerate(zip(written.staves, written.placed, strict=True), 1):
        for measure, mark in (
            *_breaths(n, placed, clock),
            *_fermatas(n, placed, written.score.fermatas, clock),
            *_slurs(placed, staff.part.slurs),
            *_glides(placed),
            *_dynamics(n, staff.part.dynamics, clock),
        ):
            found[measure] += mark
    for measure, mark in _entries(written.score, clock):
        found[measure] += mark
    return found


class _Clock:
    """Moments of the score as MEI writes them: a measure, and beats in it counted from 1."""

    def __init__(self, written: WrittenScore) -> None:
        meter = written.score.meter
        self._onsets = [measure.onset for measure in written.measures]
        self._quarters_to_beats = Fraction(1 if meter.free else meter.unit, 1 if meter.free else 4)
        self.end = written.measures[-1].end

    def measure(self, moment: Fraction) -> int:
        """The measure that contains a moment; a moment on a bar line counts for the next
        measure."""
        return max(bisect_right(self._onsets, moment) - 1, 0)

    def measure_before(self, moment: Fraction) -> int:
        """The measure that contains a moment; a moment on a bar line counts for the measure before
        it."""
        return max(bisect_left(self._onsets, moment) - 1, 0)

    def beat(self, measure: int, moment: Fraction) -> str:
        """The moment as a beat of a measure."""
        return f"{float((moment - self._onsets[measure]) * self._quarters_to_beats + 1):.6g}"


def _entries(score: Score, clock: _Clock) -> Iterator[Mark]:
    """The number of each entry of a round. It stands above the note that the first voice sings at
    the moment of the entry, even if the first voice is by then repeating the line."""
    numbers: dict[Fraction, list[str]] = {}
    for number, entry in enumerate(score.entries, 1):
        numbers.setdefault(entry.onset % score.length, []).append(f"{number}.")
    for moment, here in numbers.items():
        measure = clock.measure(moment)
        text = f'<rend fontstyle="normal" fontweight="bold">{" ".join(here)}</rend>'
        yield measure, f"<dir{_place(1, measure, moment, clock)}>{text}</dir>"


def _breaths(staff: int, placed: Sequence[PlacedEvent], clock: _Clock) -> Iterator[Mark]:
    """Breath marks; a staggered breath (the singers breathe in turn) is in parentheses."""
    for piece in placed:
        note = piece.event
        if not isinstance(note, Note):
            continue
        if note.breath and piece.last:
            moment = piece.end - (piece.end - piece.onset) * _BREATH_AHEAD
            place = _place(staff, piece.measure, moment, clock)
            whole = note.breath == "breath"
            yield piece.measure, f"<breath{place}/>" if whole else _staggered(place)
        for offset in note.staggered if piece.first else ():
            moment = note.onset + offset
            measure = clock.measure_before(moment)
            yield measure, _staggered(_place(staff, measure, moment, clock))


def _staggered(place: str) -> str:
    return f'<dir{place}><rend fontstyle="normal">(\u2019)</rend></dir>'


def _place(staff: int, measure: int, moment: Fraction, clock: _Clock) -> str:
    """The MEI attributes that put a mark above a staff at a moment of a measure."""
    return f' staff="{staff}" place="above" tstamp="{clock.beat(measure, moment)}"'


def _fermatas(
    staff: int, placed: Sequence[PlacedEvent], everyone: Sequence[Span], clock: _Clock
) -> Iterator[Mark]:
    """The fermatas of this staff, and those that only other staves have, because everyone waits:
    they are drawn above what this staff sings at the time."""
    own = {fermata for piece in placed for fermata in piece.event.fermatas}
    ends = [piece.end for piece in placed]
    for fermata in sorted({*own, *everyone}, key=lambda span: span.onset):
        if fermata not in own and any(h.onset < fermata.end and fermata.onset < h.end for h in own):
            continue
        piece = placed[min(bisect_left(ends, fermata.end), len(placed) - 1)]
        if fermata in own or fermata.end == piece.end or fermata.onset == piece.onset:
            yield piece.measure, f'<fermata staff="{staff}" place="above" startid="#{piece.id}"/>'
        else:
            measure = clock.measure(fermata.onset)
            yield measure, f"<fermata{_place(staff, measure, fermata.onset, clock)}/>"


def _slurs(placed: Sequence[PlacedEvent], slurs: Sequence[Span]) -> Iterator[Mark]:
    notes = [piece for piece in placed if isinstance(piece.event, Note)]
    first = {piece.onset: piece for piece in notes if piece.first}
    last = {piece.end: piece for piece in notes if piece.last}
    for slur in slurs:
        start, end = first.get(slur.onset), last.get(slur.end)
        if start and end and start.event is not end.event:
            yield start.measure, f'<slur startid="#{start.id}" endid="#{end.id}"/>'


def _glides(placed: Sequence[PlacedEvent]) -> Iterator[Mark]:
    """Lines from the written note where a glide starts to the next attack."""
    attacks = [list(run) for _, run in groupby(placed, lambda piece: id(piece.event))]
    for pieces, following in pairwise(attacks):
        note, goal = pieces[0].event, following[0]
        if not isinstance(note, Note) or note.glide_at is None or not isinstance(goal.event, Note):
            continue
        moment = note.onset + note.glide_at
        start = next((piece for piece in pieces if piece.onset >= moment), pieces[-1])
        # when the voice divides, each of its notes glides
        for here, there in zip(start.ids, goal.ids, strict=False):
            ends = f'startid="#{here}" endid="#{there}"'
            yield start.measure, f'<gliss {ends} lform="solid"/>'


def _dynamics(staff: int, dynamics: Sequence[Dynamic], clock: _Clock) -> Iterator[Mark]:
    for dynamic in dynamics:
        if dynamic.onset >= clock.end:
            continue
        measure = clock.measure(dynamic.onset)
        place = _place(staff, measure, dynamic.onset, clock)
        if dynamic.sign not in _HAIRPINS:
            yield measure, f"<dynam{place}>{dynamic.sign}</dynam>"
            continue
        end = min(dynamic.end or clock.end, clock.end)
        last = clock.measure_before(end)
        if end > dynamic.onset:
            until = f"{last - measure}m+{clock.beat(last, end)}"
            form = _HAIRPINS[dynamic.sign]
            yield measure, f'<hairpin form="{form}"{place} tstamp2="{until}"/>'
