"""Reads music in `degrees`, our own notation, in which notes are numbers of the scale. In the line
`all: 1 2 3 2 |` everyone sings do re mi re, a beat each.

A text goes through these modules in turn: `lines` sorts its lines into a header and blocks (lines
that sound together); `headers` reads the header; `voices` says who sings a line; `tokens` cuts a
line into beats and other signs; `melody` turns these into notes; `layout` makes the lines of a
block equally long. The result becomes a score in `music/ensemble.py`, as with all notations. Bars,
lengths and syllables that do not fit are reported later, by the checks in `claims/`. The grammar is
in docs/writing/degrees.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees.headers import Header, read_header
from chorus_handbook.music.degrees.layout import LineLayout, lay_out
from chorus_handbook.music.degrees.lines import NamedLine, SortedText, TextBlock, read_lines
from chorus_handbook.music.degrees.melody import Melody, read_melody
from chorus_handbook.music.degrees.tokens import read_tokens
from chorus_handbook.music.degrees.voices import assign_voices, line_names
from chorus_handbook.music.ensemble import Block, Frame, put_together
from chorus_handbook.music.lyrics import Words, lay_under, read_words
from chorus_handbook.music.score import LEADER, Score, Verse, WrittenLine
from chorus_handbook.music.singers import Singers
from chorus_handbook.music.written import Key
from chorus_handbook.problems import Place, Problem

_Read = TypeVar("_Read")


def read_degrees(
    notation: Notation, chorus: Chorus, voices: Sequence[str]
) -> tuple[Score | None, list[Problem]]:
    """Read a text in `degrees`. `voices` are the voices of the exercise, which `all` stands for.

    Returns the score and the problems in the order in which they are in the file. If there are
    problems, the score has no parts but has the lines as written, so that their bars and syllables
    can still be checked; it is None when even the lines are not known.
    """
    reader = _DegreesReader(chorus, tuple(voices))
    score = reader.read(notation)
    return score, sorted(set(reader.problems))


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of music that has been read: the line as text, who sings it, its notes, and its lines
    of words, each as text and as read."""

    named: NamedLine
    singers: Singers
    melody: Melody
    words: tuple[tuple[NamedLine, Words], ...]


class _DegreesReader:
    """Reads one text, and collects its problems."""

    def __init__(self, chorus: Chorus, voices: tuple[str, ...]) -> None:
        self.problems: list[Problem] = []
        self._chorus = chorus
        self._voices = voices
        self._words: dict[Place, Words | None] = {}  # by where the line of words begins

    def read(self, notation: Notation) -> Score | None:
        """Read the whole text. The result is that of `read_degrees`."""
        text = self._collected(read_lines(notation.text, notation.place, line_names(self._chorus)))
        if self._found("notation-size"):
            return None
        header = self._collected(read_header(text.headers, self._chorus))
        for line in text.words:
            self._read_words(line)
        blocks = [self._read_block(text, block, header) for block in text.blocks]
        if self._found("notation-size", "notation-header") or not any(blocks):
            return None
        return self._put_together(header, [block for block in blocks if block])

    def _read_block(self, text: SortedText, block: TextBlock, header: Header) -> list[_Line]:
        """Read the lines of a block. Returns those that have any notes."""
        named = [line.line for line in block.lines]
        singers = self._collected(assign_voices(named, self._chorus, self._voices))
        for words in block.words:
            self._read_words(words)
        lines = []
        for line, line_singers in zip(block.lines, singers, strict=True):
            if line_singers is None:  # not a line of music, which has been reported
                continue
            tokens = self._collected(read_tokens(line.line.text, line.line.text_place))
            melody = self._collected(
                read_melody(tokens, line.line.place, header.meter.beat, header.mode)
            )
            word_lines = line.words
            if not word_lines and melody.attacks:
                word_lines = text.default_words(block)
            read = [(word_line, self._read_words(word_line)) for word_line in word_lines]
            if melody.bars:
                valid = tuple((word_line, words) for word_line, words in read if words)
                lines.append(_Line(line.line, line_singers, melody, valid))
        return lines

    def _read_words(self, line: NamedLine) -> Words | None:
        """The words of a line, read once; None when they have problems."""
        if line.place not in self._words:
            words, problems = read_words(line.text, line.text_place)
            self.problems += problems
            self._words[line.place] = None if problems else words
        return self._words[line.place]

    def _put_together(self, header: Header, blocks: Sequence[Sequence[_Line]]) -> Score | None:
        """Make the score of these blocks; each is a list of its lines."""
        result: list[Block] = []
        layouts: list[LineLayout] = []  # of the lines of a block; for `_first_bar`, the one before
        for block in blocks:
            first = _first_bar(header, layouts, [line.melody for line in block])
            layouts = lay_out([line.melody for line in block], header.meter, first)
            pairs = list(zip(block, layouts, strict=True))
            lines = tuple(_lay_under(line, layout) for line, layout in pairs)
            result.append(Block([(line.singers, lo.voice) for line, lo in pairs], first, lines))
        own = {voice: settings.octave for voice, settings in self._chorus.voices.items()}
        frame = Frame(
            Key(mode=header.mode),
            header.meter,
            pickup=header.pickup,
            octaves={LEADER: self._chorus.leader.octave, **own, **header.octaves},
        )
        score, problems = put_together(result, frame, self._chorus, draft=bool(self.problems))
        self.problems += problems
        return score

    def _collected(self, read: tuple[_Read, list[Problem]]) -> _Read:
        """Add the problems of a result to those of the text. Returns the result without them."""
        result, problems = read
        self.problems += problems
        return result

    def _found(self, *codes: str) -> bool:
        """Whether there has been a problem with one of these codes."""
        return any(problem.code in codes for problem in self.problems)


def _first_bar(
    header: Header, before: Sequence[LineLayout], melodies: Sequence[Melody]
) -> Fraction:
    """How long the first bar of a block should be, in quarters. `before` are the lines of the block
    before it, `melodies` its own lines. The bar is a pickup in the first block, and also in a block
    that begins with a pickup if the last bar before it is shorter by the pickup. Otherwise it is a
    full bar."""
    full, pickup = header.meter.bar, header.pickup
    if not pickup:
        return full
    if not before:
        return pickup
    short = any(line.bars and line.bars[-1].length == full - pickup for line in before)
    again = any(melody.bars[0].length == pickup for melody in melodies)
    return pickup if short and again else full


def _lay_under(line: _Line, layout: LineLayout) -> WrittenLine:
    """Give the notes of a line their words. Returns the line as the checks in `claims/` need it,
    without words if some of its notes could not be read, because their number is not known then."""
    attacks = line.melody.attacks
    bars = [note.piece for note in attacks]
    verses: list[Verse] = []
    for named, words in line.words:
        under = lay_under(words, bars)
        verses.append(Verse(named.place, under.filled, under.surplus))
        for note, syllable in zip(attacks, under.syllables, strict=True):
            note.words.append(syllable)
    return WrittenLine(
        place=line.named.place,
        voices=line.singers.voices or (line.named.name,),
        bars=layout.bars,
        length=layout.length,
        notes=len(attacks),
        verses=() if line.melody.unreadable else tuple(verses),
    )
