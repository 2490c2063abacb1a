"""`degrees`, the notation for what a director says aloud, read into a score.

The text passes through modules that each decide one thing: `lines` sorts lines into header
and blocks, `headers` reads the header, `voices` says who sings, `tokens`
what a token is, `melody` what is prolonged, breathed and glided, `lyrics` which note gets
which syllable, `layout` when bars begin, `parts` what each voice has in the end.
Here they are put together. Bars, lengths and syllables that do not fit are left to the checks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees.headers import Header, read_header
from chorus_handbook.music.degrees.layout import Timetable, lay_out
from chorus_handbook.music.degrees.lines import Block, NamedLine, Sheet, read_lines
from chorus_handbook.music.degrees.melody import Melody, read_melody
from chorus_handbook.music.degrees.parts import PlacedBlock, PlacedLine, make_parts
from chorus_handbook.music.degrees.tokens import read_tokens
from chorus_handbook.music.degrees.voices import Singers, assign_voices, line_names
from chorus_handbook.music.limits import MOST_BARS, MOST_NOTES
from chorus_handbook.music.lyrics import Underlay, Words, lay_under, read_words
from chorus_handbook.music.score import Part, Score, Verse, WrittenBlock, WrittenLine, merged
from chorus_handbook.problems import Place, Problem

_Read = TypeVar("_Read")


def read_degrees(
    notation: Notation, chorus: Chorus, voices: Sequence[str]
) -> tuple[Score | None, list[Problem]]:
    """The score of a text, and its problems in file order. `voices` are those of the exercise,
    which `all` and `others` stand for.

    A text with problems gives a score without parts, which holds only what was written, so that
    bars, lengths and syllables elsewhere in the text can still be checked; it gives None when not
    even that is known.
    """
    reader = _Reader(chorus, tuple(voices))
    score = reader.read(notation)
    return score, sorted(set(reader.problems))


@dataclass(frozen=True, slots=True)
class _Line:
    """A line that has been read: who sings it, its notes and its lines of words."""

    named: NamedLine
    singers: Singers
    melody: Melody
    words: tuple[tuple[NamedLine, Words], ...]


class _Reader:
    def __init__(self, chorus: Chorus, voices: tuple[str, ...]) -> None:
        self.problems: list[Problem] = []
        self._chorus = chorus
        self._voices = voices
        self._words: dict[Place, Words | None] = {}

    def read(self, notation: Notation) -> Score | None:
        sheet = self._keep(read_lines(notation.text, notation.place, line_names(self._chorus)))
        if self._found("notation-size"):
            return None
        header = self._keep(read_header(sheet.headers, self._chorus))
        for line in sheet.words:
            self._read_words(line)
        blocks = [self._read_block(sheet, block, header) for block in sheet.blocks]
        self._check_size(blocks)
        if self._found("notation-size", "notation-header") or not any(blocks):
            return None
        return self._put_together(header, [block for block in blocks if block])

    def _read_block(self, sheet: Sheet, block: Block, header: Header) -> list[_Line]:
        """The lines of a block that have any notes."""
        named = [line.line for line in block.lines]
        singers = self._keep(assign_voices(named, self._chorus, self._voices))
        for words in block.words:
            self._read_words(words)
        lines = []
        for line, who in zip(block.lines, singers, strict=True):
            if who.header:
                continue
            tokens = self._keep(read_tokens(line.line.text, line.line.text_place))
            melody = self._keep(read_melody(tokens, line.line.place, header.meter.beat))
            chosen = line.words
            if not chosen and melody.attacks:
                chosen = sheet.default_words(block)
            read = [(words, self._read_words(words)) for words in chosen]
            if melody.bars:
                kept = tuple((place, words) for place, words in read if words)
                lines.append(_Line(line.line, who, melody, kept))
        return lines

    def _read_words(self, line: NamedLine) -> Words | None:
        """The words of a line, read once; None when they have problems."""
        if line.place not in self._words:
            words, problems = read_words(line.text, line.text_place)
            self.problems += problems
            self._words[line.place] = None if problems else words
        return self._words[line.place]

    def _check_size(self, blocks: Sequence[Sequence[_Line]]) -> None:
        bars = notes = 0
        for block in blocks:
            bars += max((len(line.melody.bars) for line in block), default=0)
            notes += sum(len(line.melody.attacks) * len(line.singers.voices) for line in block)
            if bars > MOST_BARS or notes > MOST_NOTES:
                what = f"{MOST_BARS} bars" if bars > MOST_BARS else f"{MOST_NOTES:,} notes"
                self._too_large(block[0].named.place, what)
                return

    def _too_large(self, place: Place, what: str) -> None:
        self.problems.append(
            Problem(
                place,
                "notation-size",
                f"With this block the exercise has more than {what}.",
                "Split the exercise, or let passes and keys repeat a short figure.",
            )
        )

    def _put_together(self, header: Header, blocks: Sequence[Sequence[_Line]]) -> Score | None:
        meter = header.meter
        now = Fraction(0)
        before: Timetable | None = None
        bar_starts: list[Fraction] = []
        written: list[WrittenBlock] = []
        placed: list[PlacedBlock] = []
        for block in blocks:
            melodies = [line.melody for line in block]
            table = lay_out(melodies, meter, _first_bar(header, before, melodies))
            bar_starts += [now + start for start in table.bars]
            end = now + table.length
            lines = [
                PlacedLine(
                    line.melody,
                    line.singers,
                    tuple(now + start for start in starts),
                    end,
                    tuple(_lay_under(line, words) for _, words in line.words),
                )
                for line, starts in zip(block, table.starts, strict=True)
            ]
            written.append(WrittenBlock(_written(block, lines, table), now))
            placed.append(PlacedBlock(tuple(lines), now, end))
            now, before = end, table
        if len(bar_starts) > MOST_BARS:
            self._too_large(blocks[-1][0].named.place, f"{MOST_BARS} bars")
            return None
        parts: tuple[Part, ...] = ()
        if not self.problems:
            parts = make_parts(placed, self._chorus, dict(header.octaves))
        return Score(
            meter=meter,
            mode=header.mode,
            pickup=header.pickup,
            length=now,
            bar_starts=tuple(bar_starts),
            parts=parts,
            holds=merged(hold for part in parts for event in part.events for hold in event.holds),
            blocks=tuple(written),
        )

    def _keep(self, read: tuple[_Read, list[Problem]]) -> _Read:
        """Keep the problems of what was read, and hand on the rest."""
        self.problems += read[1]
        return read[0]

    def _found(self, *codes: str) -> bool:
        return any(problem.code in codes for problem in self.problems)


def _first_bar(header: Header, before: Timetable | None, melodies: Sequence[Melody]) -> Fraction:
    """How long the first bar of a block should be: the pickup in the first block, and again in one
    that begins with it after a block that ended that much short."""
    full, pickup = header.meter.bar, header.pickup
    if not pickup:
        return full
    if before is None:
        return pickup
    short = any(bars and bars[-1].length == full - pickup for bars in before.written)
    again = any(melody.bars[0].length == pickup for melody in melodies)
    return pickup if short and again else full


def _lay_under(line: _Line, words: Words) -> Underlay:
    return lay_under(words, [sound.start.bar for sound in line.melody.attacks])


def _written(
    block: Sequence[_Line], lines: Sequence[PlacedLine], table: Timetable
) -> tuple[WrittenLine, ...]:
    """The lines as the checks see them; words under tokens that could not be read are left out."""
    return tuple(
        WrittenLine(
            place=line.named.place,
            voices=line.singers.voices or (line.named.name,),
            bars=bars,
            length=length,
            notes=len(line.melody.attacks),
            verses=()
            if line.melody.unsure
            else tuple(
                Verse(words.place, verse.filled, verse.surplus)
                for (words, _), verse in zip(line.words, placed.verses, strict=True)
            ),
        )
        for line, placed, bars, length in zip(
            block, lines, table.written, table.lengths, strict=True
        )
    )
