"""Makes a score from written voices. This is the last step for all three notations.

It writes out repeats, gives each note its time, counts bars, and assigns each written voice to its
singers. A *block* is a group of voices that sound together; blocks follow one another. Music in ABC
and MusicXML is one block; in `degrees` an empty line begins a new block.
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

    order: the letters of the sections of the tune (`P:` in ABC) in the order in which they are
        sung; empty if it has no such sections.
    bars_as_drawn: bars may have any length, as in a MusicXML file.
    pickup: the length, in quarters, that the notation states for the first bar (0 for a full bar);
        None in notations that do not state it. Only `degrees` does; its bars and lengths are
        checked later, in `claims/`, not here.
    octaves: by name of a voice, its octave if the notation states one.
    """

    key: Key
    meter: Meter
    order: str = ""
    bars_as_drawn: bool = False
    pickup: Fraction | None = None
    octaves: Mapping[str, int] = field(default_factory=dict)

    @property
    def checked_later(self) -> bool:
        """Whether bars, lengths and passes are taken as the notation states them, and checked in
        `claims/`."""
        return self.pickup is not None


@dataclass(frozen=True, slots=True)
class Block:
    """Voices that sound together, each with its singers.

    first_bar: the length in quarters that the first bar should have; None if that follows from the
        notes.
    lines: the lines as the author wrote them, for the checks in `claims/`; empty if the notation
        has been checked already.
    """

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
class _TimedBlock:
    """A block whose notes have their times, in quarters from the start of the score."""

    lines: Sequence[_Line]
    onset: Fraction
    end: Fraction
    bar_starts: Sequence[Fraction]
    written: WrittenBlock


def put_together(
    blocks: Sequence[Block],
    frame: Frame,
    chorus: Chorus,
    unreadable: Collection[int] = (),
    *,
    draft: bool = False,
) -> tuple[Score | None, list[Problem]]:
    """Make the score of blocks that follow one another. Returns either the score and no problems,
    or None and the problems.

    `unreadable` has the numbers of the lines of text in which some note could not be read: their
    bars are not reported as too short. `draft` is set if the reader has already found problems in
    the text: the score then has no parts, and is returned even if there are further problems.
    """
    timed: list[_TimedBlock] = []
    problems: list[Problem] = []
    bars = notes = 0
    now = Fraction(0)
    for block in blocks:
        lines, found = _time_voices(block, frame, now, unreadable)
        if not found and not unreadable and not frame.checked_later:
            found = _differences(lines, frame.meter)
        if lines:
            timed.append(_timed_block(block, lines, frame, now))
            now = timed[-1].end
            bars += max(len(timed[-1].bar_starts), *(len(line.bars.starts) for line in lines))
            notes += sum(line.performance.attacks * len(line.singers.voices) for line in lines)
        if bars > MOST_BARS or notes > MOST_NOTES:
            return None, [*problems, *found, _too_long(lines[0], bars)]
        problems += found
    if not timed or (problems and not draft):
        return None, problems
    parts = () if draft else tuple(_parts(timed, frame, chorus))
    return Score(
        meter=frame.meter,
        mode=frame.key.mode,
        pickup=timed[0].lines[0].bars.pickup if frame.pickup is None else frame.pickup,
        length=now,
        bar_starts=tuple(start for block in timed for start in block.bar_starts),
        parts=parts,
        fermatas=merged(
            fermata for part in parts for event in part.events for fermata in event.fermatas
        ),
        blocks=tuple(block.written for block in timed),
    ), []


def _time_voices(
    block: Block, frame: Frame, onset: Fraction, unreadable: Collection[int]
) -> tuple[list[_Line], list[Problem]]:
    """Give the notes of a block's voices their times. Returns the voices and their problems."""
    lines: list[_Line] = []
    problems: list[Problem] = []
    for singers, written in block.voices:
        segments, found = unfold(written, frame.order)
        problems += found
        verses = max((len(note.words) for note in written.notes), default=0)
        performance, found = sing(
            segments,
            written.place,
            frame.key,
            singers.octave,
            verses,
            onset,
            all_passes=frame.checked_later,
        )
        problems += found
        if frame.bars_as_drawn or frame.checked_later:
            bars, found = drawn_bars(segments, frame.meter), []
        else:
            bars, found = count_bars(segments, frame.meter)
        problems += (problem for problem in found if problem.place.line not in unreadable)
        lines.append(_Line(singers, performance, bars, onset))
    return lines, problems


def _differences(lines: Sequence[_Line], meter: Meter) -> list[Problem]:
    """Report voices that are not as long as the first voice, or whose pickup is not as long."""
    problems = []
    first = lines[0] if lines else None
    for line in lines[1:]:
        assert first
        if line.length != first.length:
            problems.append(
                Problem(
                    line.performance.place,
                    "voice-length",
                    f"This voice lasts {_length(line, meter)}, but the first voice lasts "
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


def _too_long(line: _Line, bars: int) -> Problem:
    """The problem of an exercise that is too long, at the line with which it becomes too long.
    `bars` is how many bars it has up to there."""
    what = f"{MOST_BARS} bars" if bars > MOST_BARS else f"{MOST_NOTES:,} notes"
    return Problem(
        line.performance.place,
        "notation-size",
        f"From here on the exercise has more than {what}, repeats included.",
        'Split the exercise in two. Or write a short figure, and let the fields "passes" and '
        '"keys" in the front matter repeat it.',
    )


def _timed_block(
    block: Block, lines: Sequence[_Line], frame: Frame, onset: Fraction
) -> _TimedBlock:
    """The block that begins at `onset` (in quarters) and whose voices are `lines`."""
    meter, first = frame.meter, lines[0]
    if meter.free or frame.bars_as_drawn:
        # Voices may have different bars here: only what starts a bar in all of them counts.
        starts = sorted(set(first.bars.starts).intersection(*(ln.bars.starts for ln in lines[1:])))
    else:
        starts = metered_starts(first.length, meter, block.first_bar or first.bars.pickup)
    # A block without `lines` has been checked already, so later checks need no bars and words.
    written = block.lines or tuple(
        WrittenLine(line.performance.place, line.singers.voices, (), first.length, 0, ())
        for line in lines
    )
    return _TimedBlock(
        lines,
        onset,
        first.performance.end,
        [onset + start for start in starts],
        WrittenBlock(written, onset),
    )


def _parts(blocks: Sequence[_TimedBlock], frame: Frame, chorus: Chorus) -> Iterator[Part]:
    """One part for each voice that sings in some block. In blocks in which it does not sing, it has
    a rest."""
    # by voice: the index of its line in each block, None in blocks in which it does not sing
    lines_of: dict[str, list[int | None]] = {}
    for number, block in enumerate(blocks):
        for index, line in enumerate(block.lines):
            for voice in line.singers.voices:
                lines_of.setdefault(voice, [None] * len(blocks))[number] = index
    voices = [voice for voice in (LEADER, *chorus.voices) if voice in lines_of]
    for voice in voices:
        own: list[_Line] = []
        events: list[Note | Rest] = []
        for block, line_index in zip(blocks, lines_of[voice], strict=True):
            if line_index is None:
                events.append(Rest(block.onset, block.end - block.onset))
            else:
                own.append(block.lines[line_index])
                events += own[-1].performance.events
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
