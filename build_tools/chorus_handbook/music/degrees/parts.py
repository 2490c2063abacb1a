"""Melodies placed in time and handed to the voices: from lines to the parts of a score."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.degrees.melody import Melody, Moment, Sound
from chorus_handbook.music.degrees.token_errors import HAIRPINS
from chorus_handbook.music.degrees.voices import Singers
from chorus_handbook.music.lyrics import Underlay
from chorus_handbook.music.score import (
    LEADER,
    Breath,
    Dynamic,
    Note,
    Part,
    Rest,
    Span,
    Syllable,
)


@dataclass(frozen=True, slots=True)
class PlacedLine:
    """A line whose bars have their time. `starts` are those of its bars and `end` that of its
    block, in quarters from the start of the score; `verses` are the words under its notes."""

    melody: Melody
    singers: Singers
    starts: tuple[Fraction, ...]
    end: Fraction
    verses: tuple[Underlay, ...]


@dataclass(frozen=True, slots=True)
class PlacedBlock:
    """The lines of a block, which lasts from `onset` to `end`."""

    lines: tuple[PlacedLine, ...]
    onset: Fraction
    end: Fraction


def make_parts(
    blocks: Sequence[PlacedBlock], chorus: Chorus, octaves: dict[str, int]
) -> tuple[Part, ...]:
    """One part for each voice that has a line somewhere; `octaves` are those that differ from
    chorus.yml."""
    sung = [[_events(line) for line in block.lines] for block in blocks]
    marks = [[_dynamics(line) for line in block.lines] for block in blocks]
    lines_of = _lines_of(blocks)
    voices = [
        v for v in (LEADER, *chorus.voices) if any(i is not None for i in lines_of.get(v, ()))
    ]
    parts = []
    for voice in voices:
        events: list[Note | Rest] = []
        dynamics: list[Dynamic] = []
        for number, line in enumerate(lines_of[voice]):
            block = blocks[number]
            if line is None:
                events.append(Rest(block.onset, block.end - block.onset))
            else:
                events += sung[number][line]
                dynamics += marks[number][line]
        shares = tuple(v for v in voices if lines_of[v] == lines_of[voice])
        own = chorus.leader.octave if voice == LEADER else chorus.voices[voice].octave
        parts.append(
            Part(
                voice,
                octaves.get(voice, own),
                tuple(_numbered(events, voice)),
                tuple(dynamics),
                shares,
                len(shares) > 1 and _joined(blocks, lines_of[voice]),
            )
        )
    return tuple(parts)


def _lines_of(blocks: Sequence[PlacedBlock]) -> dict[str, list[int | None]]:
    """For each voice, its line in each block."""
    lines: dict[str, list[int | None]] = {}
    for number, block in enumerate(blocks):
        for index, line in enumerate(block.lines):
            for voice in line.singers.voices:
                lines.setdefault(voice, [None] * len(blocks))[number] = index
    return lines


def _joined(blocks: Sequence[PlacedBlock], lines: Sequence[int | None]) -> bool:
    return any(
        block.lines[index].singers.joined
        for block, index in zip(blocks, lines, strict=True)
        if index is not None
    )


def _numbered(events: Iterable[Note | Rest], voice: str) -> Iterable[Note | Rest]:
    number = 0
    for event in events:
        if isinstance(event, Note):
            number += 1
            yield replace(event, id=f"{voice}-{number}")
        else:
            yield event


def _events(line: PlacedLine) -> list[Note | Rest]:
    """The line as events from the start of its block to its end, without gaps. The notes still
    want their ids."""
    sounds = line.melody.sounds
    verses = [iter(verse.syllables) for verse in line.verses]
    events: list[Note | Rest] = []
    for index, sound in enumerate(sounds):
        last = index + 1 == len(sounds)
        following = line.end if last else _time(line, sounds[index + 1].start)
        end = _time(line, sound.end)
        if last and line.melody.open_at:
            end = line.end
        elif not sound.attack or sound.glide:
            # A rest lasts, and a glide goes on, until the lines have met again.
            end = following
        if sound.attack:
            syllables = tuple(next(verse) for verse in verses)
            events.append(_note(line, sound, end, syllables))
        else:
            onset = _time(line, sound.start)
            events.append(Rest(onset, end - onset, _holds(line, sound), sound.breath))
        if end < following:
            events.append(Rest(end, following - end))
    return events


def _note(
    line: PlacedLine, sound: Sound, end: Fraction, syllables: tuple[Syllable | None, ...]
) -> Note:
    onset = _time(line, sound.start)
    staggered = [_time(line, moment) - onset for moment in sound.staggered]
    # Three dots after v? may turn out to prolong by nothing: then it stands after the note.
    at_end: Breath | None = "staggered" if end - onset in staggered else None
    return Note(
        id="",
        onset=onset,
        duration=end - onset,
        degree=sound.share.degree,
        spoken=sound.share.height,
        syllables=syllables,
        glide_at=None if sound.glide is None else _time(line, sound.glide) - onset,
        easy=sound.share.easy,
        holds=_holds(line, sound),
        breath=sound.breath or at_end,
        staggered=tuple(offset for offset in staggered if onset + offset < end),
        place=sound.share.place,
    )


def _holds(line: PlacedLine, sound: Sound) -> tuple[Span, ...]:
    spans = []
    for start, end in sound.holds:
        onset = _time(line, start)
        spans.append(Span(onset, _time(line, end) - onset))
    return tuple(spans)


def _dynamics(line: PlacedLine) -> list[Dynamic]:
    """Dynamics and hairpins; a hairpin runs to the next mark or to the end of the block."""
    marks = [(_time(line, moment), sign) for moment, sign in line.melody.marks]
    ends = [time for time, _ in marks[1:]] + [line.end]
    return [
        Dynamic(time, sign, end if sign in HAIRPINS else None)
        for (time, sign), end in zip(marks, ends, strict=False)
    ]


def _time(line: PlacedLine, moment: Moment) -> Fraction:
    if moment.bar < len(line.starts):
        return line.starts[moment.bar] + moment.offset
    return line.end  # a mark after the last bar line
