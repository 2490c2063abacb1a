"""`abc`, the ABC standard 2.1 (2011), read into a score.

The text passes through modules that each decide one thing: `abc_lines` sorts lines into fields and
music, `abc_body` leads them to their voices, `abc_fields` and `abc_keys` read the fields,
`abc_voices` says who sings, `abc_tokens` what a sign is, `abc_melody` what it comes to (with
`abc_pitches`, `abc_rhythm`, `abc_marks` and `abc_borders`), which `abc_written` holds, `abc_words`
which note gets which syllable, `abc_unfold` what is repeated, `abc_bars` where bars begin,
`abc_parts` what each voice sings in the end. Here they are put together.

Pitches are those that sound. The tonic of `K:`, taken from C4 to B4, is the one that `keys` names:
with `K:G` and `keys: G4` the music sounds as written, with `keys: A4` a tone higher. Bars, lengths
and syllables that do not fit are told here, in the words of ABC, not by the later checks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc_bars import Bars, count_bars
from chorus_handbook.music.abc_body import Reading, read_voices
from chorus_handbook.music.abc_lines import read_tune
from chorus_handbook.music.abc_parts import Sung, numbered, sing
from chorus_handbook.music.abc_unfold import unfold
from chorus_handbook.music.abc_voices import Singers, assign_singers
from chorus_handbook.music.degrees import MOST_BARS, MOST_NOTES
from chorus_handbook.music.degrees_parts import merged
from chorus_handbook.music.score import LEADER, Part, Score, WrittenBlock, WrittenLine
from chorus_handbook.problems import Place, Problem


def read_abc(
    notation: Notation, chorus: Chorus, voices: Sequence[str]
) -> tuple[Score | None, list[Problem]]:
    """The score of a text, and its problems in file order. `voices` are those of the exercise, who
    sing a tune without `V:`. A text with problems gives None."""
    tune, problems = read_tune(notation.text, notation.place)
    reading = read_voices(tune)
    problems += reading.problems
    if any(problem.code == "notation-size" for problem in problems):
        return None, sorted(set(problems))
    singers, found = assign_singers(reading.named, chorus, voices)
    problems += found
    lines, found = _sing(reading, singers)
    problems += found
    if not reading.voices and not problems:
        problems.append(_nothing_to_sing(notation.place))
    if problems:
        return None, sorted(set(problems))
    return _score(reading, lines, chorus), []


@dataclass(frozen=True, slots=True)
class _Line:
    """A voice of the tune, sung."""

    singers: Singers
    sung: Sung
    bars: Bars


def _sing(reading: Reading, singers: Mapping[str, Singers]) -> tuple[list[_Line], list[Problem]]:
    """Every voice in time, repeats unfolded, and what does not fit."""
    lines: list[_Line] = []
    problems: list[Problem] = []
    unsure = {p.place.line for p in reading.problems if p.code == "notation-token"}
    for voice in reading.voices:
        turns, found = unfold(voice.written, reading.order)
        problems += found
        who = singers.get(voice.id, Singers())
        verses = max((len(tone.words) for tone in voice.written.tones), default=0)
        place = voice.written.place
        sung, found = sing(turns, place, reading.key, who.octave, verses)
        problems += found
        bars, found = count_bars(turns, reading.meter)
        # Where a note could not be read, its bar is too short for that reason alone.
        problems += (problem for problem in found if problem.place.line not in unsure)
        lines.append(_Line(who, sung, bars))
    if not problems and not unsure:
        problems += _differences(lines, reading)
    if not problems:
        problems += _too_much(lines)
    return lines, problems


def _differences(lines: Sequence[_Line], reading: Reading) -> list[Problem]:
    """Voices that are not as long as the first, or begin with another pickup."""
    problems = []
    for line in lines[1:]:
        first = lines[0]
        if line.sung.length != first.sung.length:
            problems.append(
                Problem(
                    line.sung.place,
                    "voice-length",
                    f"This voice lasts {_told(line, reading)}, the first one "
                    f"{_told(first, reading)}, repeats included.",
                    "Give all voices the same bars and repeats; z is a rest, Z4 rests for four "
                    "bars.",
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


def _told(line: _Line, reading: Reading) -> str:
    """How long a line is, in bars, or in quarters where bars have no length."""
    length = line.sung.length / (reading.meter.bar or 1)
    number = str(round(float(length), 2)).removesuffix(".0")
    return f"{number} {'bar' if reading.meter.bar else 'quarter'}{'s' * (length != 1)}"


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


def _nothing_to_sing(place: Place) -> Problem:
    return Problem(
        place,
        "notation-line",
        "There is nothing to sing here.",
        "Write notes below K:, such as CDEF | G4 |, or leave the fence out.",
    )


def _score(reading: Reading, lines: Sequence[_Line], chorus: Chorus) -> Score:
    length = lines[0].sung.length
    starts = set(lines[0].bars.starts).intersection(*(line.bars.starts for line in lines[1:]))
    parts = _parts(lines, chorus)
    return Score(
        meter=reading.meter,
        mode=reading.key.mode,
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
            line.singers.octave,
            numbered(line.sung.events, voice),
            tuple(line.sung.dynamics),
            line.singers.voices,
            line.singers.joined and len(line.singers.voices) > 1,
        )
        for line in lines
        for voice in line.singers.voices
    }
    return tuple(parts[voice] for voice in (LEADER, *chorus.voices) if voice in parts)
