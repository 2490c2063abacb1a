"""Lays out a score as staves, measures, and written notes and rests, which are the same in all
keys.

The input is a score with exact durations; the output is a `WrittenScore`. The staves come from
`staves`, the measures from `measures`, the note values from `rhythm`. Here they are joined, and
every written note gets its id.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.beats import BarEvent, Item, pieces_of
from chorus_handbook.engraving.measures import Measure, measures
from chorus_handbook.engraving.rhythm import write_bar
from chorus_handbook.engraving.staves import Staff, staves
from chorus_handbook.music.score import Note, Part, Rest, Score
from chorus_handbook.pitch import ClefName

Event = Note | Rest
#: What a staff contains in a measure; None is a rest that fills the whole bar.
Contents = tuple[Item, ...] | None


@dataclass(frozen=True, slots=True)
class PlacedEvent:
    """A written note or rest with its id in the drawing.

    The first written note of a sung note has the id of the score's `Note`; those tied to it add
    "-2", "-3". When the voice divides, the highest note has this id, and the others, from high to
    low, add ".2", ".3"; grace notes add ".g1", ".g2". Ids of rests contain a dot, which no voice's
    name does.

    first, last: whether it is the first or last written note of its event.
    measure: the index of its measure.
    """

    id: str
    event: Event
    measure: int
    onset: Fraction
    end: Fraction
    first: bool
    last: bool

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of all notes of this chord, from high to low; of a single note or rest, its
        own."""
        below = self.event.below if isinstance(self.event, Note) else ()
        return (self.id, *(f"{self.id}.{n}" for n, _ in enumerate(below, 2)))

    @property
    def grace_ids(self) -> tuple[str, ...]:
        """The ids of the grace notes before it, in the order in which they are sung."""
        graces = self.event.graces if isinstance(self.event, Note) else ()
        return tuple(f"{self.id}.g{n}" for n, _ in enumerate(graces, 1))


@dataclass(frozen=True, slots=True, eq=False)
class WrittenScore:
    """A score that has been laid out. `contents` has what each staff has in each measure; `placed`
    has, by staff, all written notes and rests in the same order. One object is used for all
    keys."""

    score: Score
    staves: tuple[Staff, ...]
    measures: tuple[Measure, ...]
    contents: tuple[tuple[Contents, ...], ...]
    placed: tuple[tuple[PlacedEvent, ...], ...]

    def entry(self) -> tuple[int, int]:
        """The index of the measure in which the first note stands, and the index of the top staff
        that has a note there."""
        sounding = (
            (event.measure, staff)
            for staff, row in enumerate(self.placed)
            for event in row
            if not isinstance(event.event, Rest)
        )
        return min(sounding, default=(0, 0))

    def opening(self, measures: int) -> WrittenScore:
        """The first `measures` measures of the staff that enters first, for a thumbnail."""
        start, staff = self.entry()
        end = start + measures
        placed = [
            replace(p, measure=p.measure - start)
            for p in self.placed[staff]
            if start <= p.measure < end
        ]
        placed[-1] = replace(placed[-1], last=True)  # nothing is left to be tied to
        return WrittenScore(
            self.score,
            (self.staves[staff],),
            self.measures[start:end],
            tuple((contents[staff],) for contents in self.contents[start:end]),
            (tuple(placed),),
        )


def write(
    score: Score,
    chorus: Chorus,
    longest: Mapping[int, Fraction] | None = None,
    clef: ClefName = "treble",
) -> WrittenScore:
    """Lay a score out in staves, measures and written notes.

    `longest` maps bars that are wider than the page, by their index in the score, to the most
    quarters that a measure may have. They are cut into several measures.
    """
    lines = staves(score, chorus, clef)
    events = tuple(tuple(_with_rests_merged(staff.part)) for staff in lines)
    written_measures = measures(score, events, longest or {})
    contents: list[tuple[Contents, ...]] = []
    for _, group in groupby(written_measures, lambda measure: measure.bar):
        pieces = list(group)
        known: dict[object, list[Contents]] = {}  # lines with the same rhythm are written alike
        contents += zip(
            *(_bar_contents(score, pieces, line, known) for line in events), strict=True
        )
    taken = {note.id for part in score.parts for note in part.notes}
    placed = tuple(
        tuple(_placed(n, line, written_measures, [row[n] for row in contents], taken))
        for n, line in enumerate(events)
    )
    return WrittenScore(score, lines, tuple(written_measures), tuple(contents), placed)


def _with_rests_merged(part: Part) -> Iterator[Event]:
    """The events of a part. Neighbouring rests are merged if all of them are drawn or none is."""
    for hidden, run in groupby(part.events, lambda e: e.hidden if isinstance(e, Rest) else None):
        events = list(run)
        if hidden is None:
            yield from events
        else:
            onset = events[0].onset
            fermatas = tuple(fermata for event in events for fermata in event.fermatas)
            yield Rest(onset, events[-1].end - onset, fermatas, hidden=hidden)


def _bar_contents(
    score: Score,
    pieces: Sequence[Measure],
    line: Sequence[Event],
    known: dict[object, list[Contents]],
) -> list[Contents]:
    """What a staff contains in each of the measures that make up one bar. `known` remembers
    what was written for other staves in this bar, so that equal rhythms are computed once."""
    start, end = pieces[0].onset, pieces[-1].end
    edges = tuple(piece.onset for piece in pieces[1:])
    bar_events = tuple(
        BarEvent(
            max(event.onset, start),
            min(event.end, end),
            source,
            isinstance(event, Rest),
            tuple(sorted({*edges, *_cuts(event)})),
        )
        for source, event in _during(line, start, end)
    )
    if bar_events not in known:
        known[bar_events] = _write(score, pieces, bar_events)
    return known[bar_events]


def _write(
    score: Score, pieces: Sequence[Measure], bar_events: Sequence[BarEvent]
) -> list[Contents]:
    start, end = pieces[0].onset, pieces[-1].end
    silent = len(bar_events) == 1 and bar_events[0].rest
    if silent and len(pieces) == 1 and (score.meter.free or end - start == score.meter.bar):
        return [None]
    items = write_bar(bar_events, start, end, score.meter, pieces[0].upbeat)
    onsets = [next(pieces_of([item])).onset for item in items]
    return [
        tuple(i for i, t in zip(items, onsets, strict=True) if piece.onset <= t < piece.end)
        for piece in pieces
    ]


def _during(line: Sequence[Event], start: Fraction, end: Fraction) -> Iterator[tuple[int, Event]]:
    """The events that sound between two moments, with their indices."""
    first = bisect_right(line, start, key=lambda event: event.onset) - 1
    for place in range(max(first, 0), len(line)):
        if line[place].onset >= end:
            return
        yield place, line[place]


def _cuts(event: Event) -> Iterator[Fraction]:
    """The moments at which an event is split because of its marks. A glide needs a note to start
    from, and a fermata that ends before its note would seem to cover the whole note."""
    yield from (fermata.end for fermata in event.fermatas)
    if isinstance(event, Note) and event.glide_at:
        yield event.onset + event.glide_at


def _placed(
    staff: int,
    line: Sequence[Event],
    written_measures: Sequence[Measure],
    contents: Sequence[Contents],
    taken: set[str],
) -> Iterator[PlacedEvent]:
    """Every written note and rest of a staff, with its id and its measure."""
    counts: Counter[str] = Counter()
    for place, (measure, items) in enumerate(zip(written_measures, contents, strict=True)):
        if items is None:
            ((_, event),) = _during(line, measure.onset, measure.end)
            written = [(event, measure.onset, measure.length)]
        else:
            written = [(line[p.source], p.onset, p.duration) for p in pieces_of(items)]
        for event, onset, duration in written:
            name = event.id if isinstance(event, Note) else f"rest.{staff + 1}"
            counts[name] += 1
            label = _drawing_id(name, counts[name], taken)
            end = onset + duration
            yield PlacedEvent(
                label, event, place, onset, end, onset == event.onset, end == event.end
            )


def _drawing_id(name: str, count: int, taken: set[str]) -> str:
    """The id of a note's `count`-th written note. It is never the id of another voice's note: with
    voices called "alto" and "alto-1", both could otherwise have "alto-1-2"."""
    if "." in name:
        return f"{name}.{count}"
    label = name if count == 1 else f"{name}-{count}"
    while count > 1 and label in taken:
        label += "-tied"
    return label
