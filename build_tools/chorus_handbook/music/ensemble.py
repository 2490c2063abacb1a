"""Makes a score from written voices; the last step of all three notations.

Repeats are written out, notes put in time, bars counted, and each voice is given to its singers. A
*block* is a group of voices that sound together; blocks follow one another. Music in ABC and
MusicXML is one block; in `degrees` an empty line begins a new one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.bars import Bars, count_bars, drawn_bars, metered_starts
from chorus_handbook.music.limits import MOST_BARS, MOST_NOTES
from chorus_handbook.music.performance import Performance, numbered, sing
from chorus_handbook.music.score import (
    LEADER,
    Meter,
    Note,
    Part,
    Rest,
    Score,
    WrittenBlock,
    WrittenLine,
    merged,
)
from chorus_handbook.music.singers import Singers
from chorus_handbook.music.unfold import unfold
from chorus_handbook.music.written import Key, WrittenVoice
from chorus_handbook.problems import Problem


@dataclass(frozen=True, slots=True)
class Frame:
    """What all voices of a piece have in common.

    order: the letters of the parts (`P:` in ABC) in the order of singing; empty without parts.
    bars_as_drawn: bars may have any length, as in a MusicXML file.
    pickup: the length in quarters that the notation states, or None. If it states one (even 0), as
        `degrees` does, bars and lengths are checked later (`claims/`), not here.
    octaves: by voice, the octave that the notation states.
    """

    key: Key
    meter: Meter
    order: str = ""
    bars_as_drawn: bool = False
    pickup: Fraction | None = None
    octaves: Mapping[str, int] = field(default_factory=dict)

    @property
    def stated(self) -> bool:
        """Whether bars, lengths and passes are as the notation states them."""
        return self.pickup is not None


@dataclass(frozen=True, slots=True)
class Block:
    """Voices that sound together, each with its singers. For later checks: the length in quarters
    that the `first_bar` should have, and the `lines` as the author wrote them."""

    voices: Sequence[tuple[Singers, WrittenVoice]]
    first_bar: Fraction | None = None
    lines: tuple[WrittenLine, ...] = ()


@dataclass(frozen=True, slots=True)
class _Line:
    """A voice of a block with its notes in time, beginning at `onset` (in quarters)."""

    singers: Singers
    performance: Performance
    bars: Bars
    onset: Fraction

    @property
    def length(self) -> Fraction:
        return self.performance.end - self.onset


@dataclass(frozen=True, slots=True)
class _PlacedBlock:
    """A block in time. All times are in quarters from the start of the score."""

    lines: Sequence[_Line]
    onset: Fraction
    end: Fraction
    bar_starts: Sequence[Fraction]
    written: WrittenBlock


def put_together(
    blocks: Sequence[Block],
    frame: Frame,
    chorus: Chorus,
    unsure: Collection[int] = (),
    *,
    draft: bool = False,
) -> tuple[Score | None, list[Problem]]:
    """Make the score of blocks that follow one another. Returns it, or None and the problems.

    `unsure` are numbers of lines in which some note could not be read: their bars are not reported
    as too short. With `draft`, the score has no parts, because the text has problems already.
    """
    placed: list[_PlacedBlock] = []
    problems: list[Problem] = []
    bars = notes = 0
    now = Fraction(0)
    for block in blocks:
        lines, found = _performed(block, frame, now, unsure)
        if not found and not unsure and not frame.stated:
            found = _differences(lines, frame.meter)
        if lines:
            placed.append(_placed(block, lines, frame, now))
            now = placed[-1].end
            bars += max(len(placed[-1].bar_starts), *(len(line.bars.starts) for line in lines))
            notes += sum(line.performance.attacks * len(line.singers.voices) for line in lines)
        if bars > MOST_BARS or notes > MOST_NOTES:
            return None, [*problems, *found, _too_much(lines[0], bars)]
        problems += found
    if not placed or (problems and not draft):
        return None, problems
    parts = () if draft else tuple(_parts(placed, frame, chorus))
    return Score(
        meter=frame.meter,
        mode=frame.key.mode,
        pickup=placed[0].lines[0].bars.pickup if frame.pickup is None else frame.pickup,
        length=now,
        bar_starts=tuple(start for block in placed for start in block.bar_starts),
        parts=parts,
        fermatas=merged(
            fermata for part in parts for event in part.events for fermata in event.fermatas
        ),
        blocks=tuple(block.written for block in placed),
    ), []


def _performed(
    block: Block, frame: Frame, onset: Fraction, unsure: Collection[int]
) -> tuple[list[_Line], list[Problem]]:
    """Put the voices of a block in time. Returns them and their problems."""
    lines: list[_Line] = []
    problems: list[Problem] = []
    for who, written in block.voices:
        segments, found = unfold(written, frame.order)
        problems += found
        verses = max((len(tone.words) for tone in written.tones), default=0)
        performance, found = sing(
            segments,
            written.place,
            frame.key,
            who.octave,
            verses,
            onset,
            all_passes=frame.stated,
        )
        problems += found
        if frame.bars_as_drawn or frame.stated:
            bars, found = drawn_bars(segments, frame.meter), []
        else:
            bars, found = count_bars(segments, frame.meter)
        problems += (problem for problem in found if problem.place.line not in unsure)
        lines.append(_Line(who, performance, bars, onset))
    return lines, problems


def _differences(lines: Sequence[_Line], meter: Meter) -> list[Problem]:
    """Report voices that are not as long as the first, or whose pickup has another length."""
    problems = []
    for line in lines[1:]:
        first = lines[0]
        if line.length != first.length:
            problems.append(
                Problem(
                    line.performance.place,
                    "voice-length",
                    f"This voice lasts {_length(line, meter)}, the first one "
                    f"{_length(first, meter)}, repeats included.",
                    "Give all voices the same bars and repeats, and write rests for silent bars.",
                )
            )
        elif line.bars.pickup != first.bars.pickup:
            problems.append(
                Problem(
                    line.performance.place,
                    "bar-length",
                    "The first bar of this voice is not as long as that of the first voice.",
                    "Make the pickup equally long in all voices; write rests for silent voices.",
                )
            )
    return problems


def _length(line: _Line, meter: Meter) -> str:
    """The length of a line in words, in bars, or in free meter in quarters."""
    length = line.length / (meter.bar or 1)
    number = str(round(float(length), 2)).removesuffix(".0")
    return f"{number} {'bar' if meter.bar else 'quarter'}{'s' * (length != 1)}"


def _too_much(line: _Line, bars: int) -> Problem:
    """The problem of an exercise that is too long, at the line with which it becomes so."""
    what = f"{MOST_BARS} bars" if bars > MOST_BARS else f"{MOST_NOTES:,} notes"
    return Problem(
        line.performance.place,
        "notation-size",
        f"From here on the exercise has more than {what}, repeats included.",
        "Split the exercise in two, or write a short figure and repeat it with passes or keys.",
    )


def _placed(block: Block, lines: Sequence[_Line], frame: Frame, onset: Fraction) -> _PlacedBlock:
    """A block whose voices have been put in time, beginning at `onset`."""
    meter, first = frame.meter, lines[0]
    if meter.free or frame.bars_as_drawn:
        starts = sorted(set(first.bars.starts).intersection(*(ln.bars.starts for ln in lines[1:])))
    else:
        starts = metered_starts(first.length, meter, block.first_bar or first.bars.pickup)
    # A block without `lines` has been checked already, so later checks need no bars and words.
    written = block.lines or tuple(
        WrittenLine(line.performance.place, line.singers.voices, (), first.length, 0, ())
        for line in lines
    )
    return _PlacedBlock(
        lines,
        onset,
        first.performance.end,
        [onset + start for start in starts],
        WrittenBlock(written, onset),
    )


def _parts(blocks: Sequence[_PlacedBlock], frame: Frame, chorus: Chorus) -> Iterator[Part]:
    """One part for each voice that sings in some block; in other blocks it has rests."""
    # by voice: the index of its line in each block, None in blocks in which it does not sing
    lines_of: dict[str, list[int | None]] = {}
    for number, block in enumerate(blocks):
        for index, line in enumerate(block.lines):
            for voice in line.singers.voices:
                lines_of.setdefault(voice, [None] * len(blocks))[number] = index
    voices = [voice for voice in (LEADER, *chorus.voices) if voice in lines_of]
    for voice in voices:
        chosen = [
            None if index is None else block.lines[index]
            for block, index in zip(blocks, lines_of[voice], strict=True)
        ]
        own = [line for line in chosen if line]
        events: list[Note | Rest] = []
        for block, sings in zip(blocks, chosen, strict=True):
            silence = Rest(block.onset, block.end - block.onset)
            events += sings.performance.events if sings else [silence]
        shares = tuple(other for other in voices if lines_of[other] == lines_of[voice])
        octave = frame.octaves.get(voice)
        yield Part(
            voice,
            own[0].singers.octave_of(voice, chorus) if octave is None else octave,
            tuple(numbered(events, voice)),
            tuple(dynamic for line in own for dynamic in line.performance.dynamics),
            shares,
            len(shares) > 1 and any(line.singers.joined for line in own),
            slurs=tuple(slur for line in own for slur in line.performance.slurs),
        )
