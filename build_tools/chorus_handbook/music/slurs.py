"""Slurs of one voice as it is sung: which notes each reaches from and to.

Several may be open at once, and a note may end one and begin the next; so one that ends takes up
the last that began on an earlier note. What a repeat leaves open, or ends without a beginning, is
no slur of that time; whether the text itself is in order is for its reader to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from chorus_handbook.music.score import Note, Rest, Span
from chorus_handbook.music.written import WrittenNote


@dataclass(slots=True)
class Slurs:
    """Follows the slurs from tone to tone."""

    _open: list[tuple[WrittenNote, int]] = field(default_factory=list)
    _found: list[tuple[int, int]] = field(default_factory=list)

    def take(self, tone: WrittenNote, event: int) -> None:
        """Note what begins and ends at the next tone, which is part of the voice's `event`-th
        event."""
        for _ in range(min(tone.slurs_end, len(self._open))):
            self._found.append((self._open.pop()[1], event))
        # A slur that is begun anew before it has ended was left open by a repeat.
        self._open = [begun for begun in self._open if begun[0] is not tone]
        self._open += [(tone, event)] * tone.slurs_begin

    def spans(self, events: Sequence[Note | Rest]) -> tuple[Span, ...]:
        """The slurs in time. Silence at their ends is no part of them, nor is a slur over one
        note."""
        return tuple(sorted(set(self._spans(events)), key=lambda span: (span.onset, span.end)))

    def _spans(self, events: Sequence[Note | Rest]) -> Iterator[Span]:
        for start, end in self._found:
            notes = [event for event in events[start : end + 1] if isinstance(event, Note)]
            if len(notes) > 1:
                yield Span(notes[0].onset, notes[-1].end - notes[0].onset)
