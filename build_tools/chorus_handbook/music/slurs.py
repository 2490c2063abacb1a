"""Finds the first and last note of each slur of one voice, with its repeats written out.

Several slurs may be open at once, and a note may end one and begin the next. The end of a slur
closes the slur that began last on an earlier note. A slur that loses its beginning or its end
because of a repeat is dropped. Nothing is reported here: the reader of the notation has checked
that all slurs are written correctly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from chorus_handbook.music.score import Note, Rest, Span
from chorus_handbook.music.written import WrittenNote


@dataclass(slots=True)
class Slurs:
    """Collects slurs while the notes of a voice are added one by one."""

    #: The open slurs: for each, the note on which it began, and the index of that note's event.
    _open: list[tuple[WrittenNote, int]] = field(default_factory=list)
    #: The indexes of the first and the last event of each complete slur.
    _complete: list[tuple[int, int]] = field(default_factory=list)

    def take(self, note: WrittenNote, event: int) -> None:
        """Add the next written note. `event` is the index, among the voice's events, of the note to
        which it belongs (tied notes make one event)."""
        for _ in range(min(note.slurs_end, len(self._open))):
            _, first = self._open.pop()
            self._complete.append((first, event))
        # If a slur is open that began on this very note, a repeat has come back to the note before
        # the slur ended: it is dropped, and begins again here.
        self._open = [slur for slur in self._open if slur[0] is not note]
        self._open += [(note, event)] * note.slurs_begin

    def spans(self, events: Sequence[Note | Rest]) -> tuple[Span, ...]:
        """The slurs as spans of time, each from its first to its last note, without rests at its
        ends. Slurs over a single note are left out. `events` are all events of the voice."""
        return tuple(sorted(set(self._spans(events)), key=lambda span: (span.onset, span.end)))

    def _spans(self, events: Sequence[Note | Rest]) -> Iterator[Span]:
        for start, end in self._complete:
            notes = [event for event in events[start : end + 1] if isinstance(event, Note)]
            if len(notes) > 1:
                yield Span(notes[0].onset, notes[-1].end - notes[0].onset)
