"""Writes out the repeats of a voice: finds the order in which its pieces of music, each between two
bar lines, are sung.

A tune may also be divided into *parts* with letters, and say in which order they are sung ("AAB").
Repeats, endings and parts follow the ABC standard 2.1 (sections 3.1.9 and 4.8 to 4.10); the other
notations use the same rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from chorus_handbook.music.written import Barline, Piece, WrittenVoice
from chorus_handbook.problems import Place, Problem

#: The most pieces of one voice when all repeats are written out.
MOST_PIECES = 1000


@dataclass(frozen=True, slots=True)
class PlayedSegment:
    """A written `piece` (the music between two bar lines) as it is sung once. A piece that is
    repeated gives several segments.

    repetition: how often it has been sung before (0 for the first time).
    repetitions: how often it is sung in all.
    joins: whether it may be in the same bar as the segment before it.
    ending: whether it belongs to one ending of a repeat.
    """

    piece: Piece
    repetition: int = 0
    repetitions: int = 1
    joins: bool = True
    ending: bool = False


def unfold(written: WrittenVoice, order: str) -> tuple[list[PlayedSegment], list[Problem]]:
    """Find the segments of a voice in the order in which they are sung. Returns them and the
    problems. `order` has the letters of the parts in the order of singing (`P:` in ABC); it is
    empty for a tune without parts."""
    reader = _Unfolder(written)
    if written.barlines[0].times_back:
        reader.complain(
            written.barlines[0].place,
            "There are no notes before this repeat sign.",
            'Write ":|" after the notes to repeat.',
        )
    sections: dict[str, list[PlayedSegment]] = {}
    start = 0
    for part, pieces in groupby(written.pieces, key=lambda piece: piece.part):
        end = start + len(list(pieces))
        if part in sections:
            reader.complain(
                written.pieces[start].place,
                f'"P:{part}" stands above two different parts of the tune.',
                "Give each part of the tune its own letter. The order in which they are sung is in "
                'the "P:" above "K:".',
            )
        sections[part] = reader.section(start, end)
        start = end
    if not order:
        return _limited([s for segments in sections.values() for s in segments], reader, written)
    segments = list(sections.pop("", []))
    for letter in dict.fromkeys(order):
        if letter not in sections:
            reader.complain(
                written.place,
                f'The order in "P:" contains part {letter}, but there is no "P:{letter}" above '
                "notes of this voice.",
                f'Write "P:{letter}" on a line of its own above its notes.',
            )
    repetitions = {letter: order.count(letter) for letter in sections}
    played = dict.fromkeys(sections, 0)
    for letter in order:
        if letter in sections:
            segments += _again(sections[letter], played[letter], repetitions[letter])
            played[letter] += 1
        if len(segments) > MOST_PIECES:
            break
    return _limited(segments, reader, written)


def _again(
    segments: Sequence[PlayedSegment], repetition: int, repetitions: int
) -> Iterator[PlayedSegment]:
    """The segments of a part of the tune for one of the times that it is sung: `repetition` (from
    0) of `repetitions`. Segments that are repeated within the part keep their own numbers."""
    for segment in segments:
        once = segment.repetitions == 1
        yield (
            replace(segment, repetition=repetition, repetitions=repetitions) if once else segment
        )


def _limited(
    segments: list[PlayedSegment], reader: _Unfolder, written: WrittenVoice
) -> tuple[list[PlayedSegment], list[Problem]]:
    """The segments, unless there are too many, and the problems."""
    if len(segments) > MOST_PIECES:
        reader.complain(
            written.place,
            f"With all repeats this voice has more than {MOST_PIECES} bars and pieces of bars.",
            'Split the exercise, or let the fields "passes" and "keys" in the front matter repeat '
            "it.",
            "notation-size",
        )
        return [], reader.problems
    return segments, reader.problems


def _stops(barline: Barline) -> bool:
    """Whether an ending of a repeat, begun earlier, is over at this bar line."""
    return bool(barline.times_back or barline.starts or barline.ending or barline.over)


@dataclass(slots=True)
class _Unfolder:
    """Follows the repeats of one voice."""

    written: WrittenVoice
    problems: list[Problem] = field(default_factory=list)

    def section(self, start: int, end: int) -> list[PlayedSegment]:
        """The segments of the pieces from the index `start` up to `end`, with their repeats written
        out. `first` is where the repeat that is being read starts, `here` the next piece."""
        barlines = self.written.barlines
        segments: list[PlayedSegment] = []
        first = here = start
        while here < end:
            if barlines[here].ending:
                first, played = self._endings(first, here, end)
                here = first
                segments += played
                continue
            here += 1
            barline = barlines[here]
            if barline.times_back:
                repetitions = barline.times_back + 1
                for repetition in range(repetitions):
                    segments += self._played(first, here, repetition, repetitions)
            elif barline.starts or here == end:
                if barlines[first].starts:
                    self._never_ends(barlines[first])
                segments += self._played(first, here)
            else:
                continue
            first = here
        return segments

    def _endings(self, first: int, here: int, end: int) -> tuple[int, list[PlayedSegment]]:
        """Write out a repeat with endings. Its body, which is sung before each ending, begins at
        the piece with the index `first`, and its first ending at `here`; no ending reaches beyond
        `end`. Returns the index of the piece after the last ending, and the segments."""
        barlines = self.written.barlines
        # by the number of a time, from 1: the index of the first piece of its ending, and that of
        # the piece after the ending
        ending_of: dict[int, tuple[int, int]] = {}
        place = here
        while place < end and barlines[place].ending:
            after = place + 1
            while after < end and not _stops(barlines[after]):
                after += 1
            goes_back = barlines[after].times_back > 0
            for number in barlines[place].ending:
                if number in ending_of:
                    self._bad_ending(barlines[place], f"Two endings are for time {number}.")
                ending_of[number] = place, after
            # After every ending but the last, the singers go back.
            if not goes_back and (after < end and barlines[after].ending):
                self._bad_ending(barlines[place], 'There is no ":|" at the end of this ending.')
            place = after
        repetitions = max(ending_of)
        missing = [number for number in range(1, repetitions + 1) if number not in ending_of]
        if missing or repetitions == 1:
            self._bad_ending(
                barlines[here], f"There is no ending for time {missing[0] if missing else 2}."
            )
            return place, []
        segments: list[PlayedSegment] = []
        for number in range(1, repetitions + 1):
            segments += self._played(first, here, number - 1, repetitions)
            segments += self._played(*ending_of[number], number - 1, repetitions, ending=True)
        return place, segments

    def _bad_ending(self, barline: Barline, message: str) -> None:
        self.complain(
            barline.place,
            message,
            'Number the endings 1, 2 and so on, each once, and end all but the last with ":|".',
        )

    def _played(
        self,
        start: int,
        end: int,
        repetition: int = 0,
        repetitions: int = 1,
        *,
        ending: bool = False,
    ) -> Iterator[PlayedSegment]:
        """The segments of the pieces from the index `start` up to `end` for one of the times that
        they are sung: `repetition` (from 0) of `repetitions`."""
        for place in range(start, end):
            # A repeat sign may stand within a bar, so the first piece of a repetition may complete
            # the bar before it.
            joins = self.written.barlines[place].soft or (place == start and repetition > 0)
            piece = self.written.pieces[place]
            yield PlayedSegment(piece, repetition, repetitions, joins, ending)

    def _never_ends(self, barline: Barline) -> None:
        self.complain(
            barline.place,
            "This repeat never ends.",
            'Write ":|" where the singers go back, or "|" here.',
        )

    def complain(self, place: Place, message: str, hint: str, code: str = "notation-token") -> None:
        """Report a problem."""
        self.problems.append(Problem(place, code, message, hint))
