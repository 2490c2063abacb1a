"""Writes out the repeats of a voice: the order in which its pieces between bar lines are sung.

Repeats, endings and the order of parts follow the ABC standard 2.1 (sections 3.1.9 and 4.8 to
4.10); the other notations use the same rules.
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
    """A piece of music between two bar lines, for one of the times that it is sung.

    It is sung `times` times altogether; `time` is the number of this time, from 0.
    `joins`: it may be in the same bar as the piece before it. `ending`: it belongs to one ending of
    a repeat.
    """

    piece: Piece
    time: int = 0
    times: int = 1
    joins: bool = True
    ending: bool = False


def unfold(written: WrittenVoice, order: str) -> tuple[list[PlayedSegment], list[Problem]]:
    """The pieces of a voice in the order of singing, and the problems. `order` has the letters of
    the parts in that order (`P:` in ABC); empty without parts."""
    reader = _Unfolder(written)
    if written.barlines[0].ends:
        reader.complain(
            written.barlines[0].place,
            "There are no notes before this repeat sign.",
            "Write :| after the notes to repeat.",
        )
    sections: dict[str, list[PlayedSegment]] = {}
    start = 0
    for part, pieces in groupby(written.pieces, key=lambda piece: piece.part):
        end = start + len(list(pieces))
        if part in sections:
            reader.complain(
                written.pieces[start].place,
                f"P:{part} appears twice.",
                "Give each part of the tune its own letter; the order is in the P: above the key.",
            )
        sections[part] = reader.section(start, end)
        start = end
    if not order:
        return _limited([t for segments in sections.values() for t in segments], reader, written)
    segments = list(sections.pop("", []))
    for letter in dict.fromkeys(order):
        if letter not in sections:
            reader.complain(
                written.place,
                f"P: asks for part {letter}, but no P:{letter} stands above notes of this voice.",
                f"Write P:{letter} on a line of its own above its notes.",
            )
    times = {letter: order.count(letter) for letter in sections}
    sung = dict.fromkeys(sections, 0)
    for letter in order:
        if letter in sections:
            segments += _again(sections[letter], sung[letter], times[letter])
            sung[letter] += 1
        if len(segments) > MOST_PIECES:
            break
    return _limited(segments, reader, written)


def _again(segments: Sequence[PlayedSegment], time: int, times: int) -> Iterator[PlayedSegment]:
    """The segments of a part for one of the times it is sung. Segments that the part itself repeats
    keep their own count."""
    for segment in segments:
        once = segment.times == 1
        yield replace(segment, time=time, times=times) if once else segment


def _limited(
    segments: list[PlayedSegment], reader: _Unfolder, written: WrittenVoice
) -> tuple[list[PlayedSegment], list[Problem]]:
    if len(segments) > MOST_PIECES:
        reader.complain(
            written.place,
            f"With all repeats this voice has more than {MOST_PIECES} bars and pieces of bars.",
            "An exercise is short; split it, or let passes and keys repeat it.",
            "notation-size",
        )
        return [], reader.problems
    return segments, reader.problems


def _stops(barline: Barline) -> bool:
    """Whether an ending of a repeat ends at a bar line."""
    return bool(barline.ends or barline.starts or barline.ending or barline.over)


@dataclass(slots=True)
class _Unfolder:
    """Follows the repeats of one voice."""

    written: WrittenVoice
    problems: list[Problem] = field(default_factory=list)

    def section(self, start: int, end: int) -> list[PlayedSegment]:
        """The pieces from `start` up to `end`, with their repeats written out."""
        barlines = self.written.barlines
        segments: list[PlayedSegment] = []
        first = here = start
        while here < end:
            if barlines[here].ending:
                first, sung = self._endings(first, here, end)
                here = first
                segments += sung
                continue
            here += 1
            barline = barlines[here]
            if barline.ends:
                for time in range(barline.ends + 1):
                    segments += self._sung(first, here, time, barline.ends + 1)
            elif barline.starts or here == end:
                if barlines[first].starts:
                    self._never_ends(barlines[first])
                segments += self._sung(first, here)
            else:
                continue
            first = here
        return segments

    def _endings(self, first: int, here: int, end: int) -> tuple[int, list[PlayedSegment]]:
        """Write out a repeat with endings. Its body begins at `first`, its first ending at `here`.
        Returns the index at which its last ending stops, and the segments."""
        barlines = self.written.barlines
        ending_of: dict[int, tuple[int, int]] = {}
        place, closed = here, True
        while place < end and barlines[place].ending:
            after = place + 1
            while after < end and not _stops(barlines[after]):
                after += 1
            closed = barlines[after].ends > 0
            for time in barlines[place].ending:
                if time in ending_of:
                    self._bad_ending(barlines[place], f"Two endings are for time {time}.")
                ending_of[time] = place, after
            if not closed and (after < end and barlines[after].ending):
                self._bad_ending(barlines[place], "There is no :| at the end of this ending.")
            place = after
            if not closed and not barlines[after].ending:
                break
        times = max(ending_of)
        missing = [time for time in range(1, times + 1) if time not in ending_of]
        if missing or times == 1:
            self._bad_ending(
                barlines[here], f"There is no ending for time {missing[0] if missing else 2}."
            )
            return place, []
        segments: list[PlayedSegment] = []
        for time in range(1, times + 1):
            segments += self._sung(first, here, time - 1, times)
            segments += self._sung(*ending_of[time], time - 1, times, ending=True)
        return place, segments

    def _bad_ending(self, barline: Barline, message: str) -> None:
        self.complain(
            barline.place,
            message,
            "Number the endings 1, 2 ..., each once, and end all but the last with :|",
        )

    def _sung(
        self, start: int, end: int, time: int = 0, times: int = 1, *, ending: bool = False
    ) -> Iterator[PlayedSegment]:
        for place in range(start, end):
            # Where a repeat goes back, its first piece comes after a repeat sign.
            joins = self.written.barlines[place].soft or (place == start and time > 0)
            yield PlayedSegment(self.written.pieces[place], time, times, joins, ending)

    def _never_ends(self, barline: Barline) -> None:
        self.complain(
            barline.place,
            "This repeat never ends.",
            "Write :| where the singers go back, or | here.",
        )

    def complain(self, place: Place, message: str, hint: str, code: str = "notation-token") -> None:
        """Report a problem."""
        self.problems.append(Problem(place, code, message, hint))
