"""Finds the first and last note of each slur of one voice, with its repeats written out.

Several slurs may be open at once, and a note may end one and begin the next. The end of a slur
belongs to the slur that began last on an earlier note. A slur that loses its beginning or its end
because of a repeat is dropped. Whether the slurs are written correctly is checked by the reader of
the notation.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from chorus_handbook.music.score import Note, Rest, Span
from chorus_handbook.music.written import WrittenNote


@dataclass(slots=True)
class Slurs:
    """Collects slurs while notes are added one by one."""

    _open: list[tuple[WrittenNote, int]] = field(default_factory=list)
    _found: list[tuple[int, int]] = field(default_factory=list)

    def take(self, tone: WrittenNote, event: int) -> None:
        """Add the next written note, which belongs to the voice's event with this index."""
        for _ in range(min(tone.slurs_end, len(self._open))):
            self._found.append((self._open.pop()[1], event))
        # If this note has begun a slur before, a repeat has come back to it, and that slur never
        # ended: it is dropped, and begins again here.
        self._open = [begun for begun in self._open if begun[0] is not tone]
        self._open += [(tone, event)] * tone.slurs_begin

    def spans(self, events: Sequence[Note | Rest]) -> tuple[Span, ...]:
        """The slurs as spans of time, without rests at their ends and without slurs over a single
        note."""
        return tuple(sorted(set(self._spans(events)), key=lambda span: (span.onset, span.end)))

    def _spans(self, events: Sequence[Note | Rest]) -> Iterator[Span]:
        for start, end in self._found:
            notes = [event for event in events[start : end + 1] if isinstance(event, Note)]
            if len(notes) > 1:
                yield Span(notes[0].onset, notes[-1].end - notes[0].onset)
