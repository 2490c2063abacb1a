"""Which verses' extender lines go on at a note."""

from __future__ import annotations

from chorus_handbook.music.score import Note


class HeldLines:
    """Follows one staff, written note by written note."""

    def __init__(self) -> None:
        self._held: dict[int, int] = {}  # verse -> notes that its last syllable is still held for

    def at(self, note: Note, first: bool) -> list[int]:
        """The verses whose line reaches this written note, the `first` of its attack or a later
        one."""
        if not first:
            return sorted(self._held)
        begun = {n: syllable for n, syllable in enumerate(note.syllables, 1) if syllable}
        self._held = {n: left - 1 for n, left in self._held.items() if left > 0 and n not in begun}
        running = sorted(self._held)
        # between syllables of one word stand hyphens
        self._held |= {n: syllable.held for n, syllable in begun.items() if not syllable.joined}
        return running
