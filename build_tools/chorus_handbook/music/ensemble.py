"""The voices of a tune or a file, each as written, put together into one score."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.bars import Bars, count_bars, drawn_bars
from chorus_handbook.music.limits import MOST_BARS, MOST_NOTES
from chorus_handbook.music.performance import Performance, numbered, sing
from chorus_handbook.music.score import (
    LEADER,
    Meter,
    Part,
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
    """What holds for all voices. `order` has the letters of the parts in the order in which they
    are sung, or nothing. `bars_as_drawn`: bars need not fill the meter."""

    key: Key
    meter: Meter
    order: str = ""
    bars_as_drawn: bool = False


@dataclass(frozen=True, slots=True)
class _Line:
    """A voice of the tune, sung."""

    singers: Singers
    sung: Performance
    bars: Bars


def put_together(
    voices: Sequence[tuple[Singers, WrittenVoice]],
    frame: Frame,
    chorus: Chorus,
    unsure: Collection[int] = (),
) -> tuple[Score | None, list[Problem]]:
    """The score that the voices sing, repeats unfolded, and what does not fit; with problems there
    is none. In the lines of text that are `unsure` some note could not be read: a bar there is too
    short for that reason alone."""
    lines: list[_Line] = []
    problems: list[Problem] = []
    for who, written in voices:
        segments, found = unfold(written, frame.order)
        problems += found
        verses = max((len(tone.words) for tone in written.tones), default=0)
        sung, found = sing(segments, written.place, frame.key, who.octave, verses)
        problems += found
        if frame.bars_as_drawn:
            bars, found = drawn_bars(segments, frame.meter), []
        else:
            bars, found = count_bars(segments, frame.meter)
        problems += (problem for problem in found if problem.place.line not in unsure)
        lines.append(_Line(who, sung, bars))
    if not problems and not unsure:
        problems += _differences(lines, frame.meter)
    if not problems:
        problems += _too_much(lines)
    if problems or not lines:
        return None, problems
    return _score(lines, frame, chorus), []


def _differences(lines: Sequence[_Line], meter: Meter) -> list[Problem]:
    """Voices that are not as long as the first, or begin with another pickup."""
    problems = []
    for line in lines[1:]:
        first = lines[0]
        if line.sung.length != first.sung.length:
            problems.append(
                Problem(
                    line.sung.place,
                    "voice-length",
                    f"This voice lasts {_told(line, meter)}, the first one "
                    f"{_told(first, meter)}, repeats included.",
                    "Give all voices the same bars and repeats, and rests where they are silent.",
                )
            )
        elif line.bars.pickup != first.bars.pickup:
            problems.append(
                Problem(
                    line.sung.place,
                    "bar-length",
                    "The first bar of this voice is not as long as that of the first voice.",
                    "A pickup is equally long in all voices; write rests for who is silent.",
                )
            )
    return problems


def _told(line: _Line, meter: Meter) -> str:
    """How long a line is, in bars, or in quarters where bars have no length."""
    length = line.sung.length / (meter.bar or 1)
    number = str(round(float(length), 2)).removesuffix(".0")
    return f"{number} {'bar' if meter.bar else 'quarter'}{'s' * (length != 1)}"


def _too_much(lines: Sequence[_Line]) -> list[Problem]:
    bars = max((len(line.bars.starts) for line in lines), default=0)
    notes = sum(len(line.sung.events) * len(line.singers.voices) for line in lines)
    if bars <= MOST_BARS and notes <= MOST_NOTES:
        return []
    what = f"{MOST_BARS} bars" if bars > MOST_BARS else f"{MOST_NOTES:,} notes"
    return [
        Problem(
            lines[0].sung.place,
            "notation-size",
            f"With its repeats the exercise has more than {what}.",
            "An exercise is short; split it, or let passes and keys repeat it.",
        )
    ]


def _score(lines: Sequence[_Line], frame: Frame, chorus: Chorus) -> Score:
    length = lines[0].sung.length
    starts = set(lines[0].bars.starts).intersection(*(line.bars.starts for line in lines[1:]))
    parts = _parts(lines, chorus)
    return Score(
        meter=frame.meter,
        mode=frame.key.mode,
        pickup=lines[0].bars.pickup,
        length=length,
        bar_starts=tuple(sorted(starts)),
        parts=parts,
        holds=merged(hold for part in parts for event in part.events for hold in event.holds),
        # Bars and words have been checked here, so they are not handed on.
        blocks=(
            WrittenBlock(
                tuple(
                    WrittenLine(line.sung.place, line.singers.voices, (), length, 0, ())
                    for line in lines
                )
            ),
        ),
    )


def _parts(lines: Sequence[_Line], chorus: Chorus) -> tuple[Part, ...]:
    parts = {
        voice: Part(
            voice,
            line.singers.octave_of(voice, chorus),
            numbered(line.sung.events, voice),
            tuple(line.sung.dynamics),
            line.singers.voices,
            line.singers.joined and len(line.singers.voices) > 1,
            slurs=line.sung.slurs,
        )
        for line in lines
        for voice in line.singers.voices
    }
    return tuple(parts[voice] for voice in (LEADER, *chorus.voices) if voice in parts)
