"""Makes the score of a round from its one written line.

The field `round` of an exercise says which voices enter, in which order, how long after one
another, and how often each sings the line. Each voice sings it in its own octave, with the next
verse each time. The resulting score is measured and played; the written line itself (`Score.line`)
is drawn and checked. A fermata shows where a voice may stop (common practice), so it counts only at
the end of the round.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Source
from chorus_handbook.entries.round import Round
from chorus_handbook.music.bars import metered_starts
from chorus_handbook.music.limits import MOST_BARS, MOST_NOTES
from chorus_handbook.music.performance import numbered
from chorus_handbook.music.score import (
    LEADER,
    Note,
    Part,
    Rest,
    RoundEntry,
    Score,
    Span,
    Syllable,
    WrittenBlock,
    merged,
)
from chorus_handbook.music.singers import ALL
from chorus_handbook.problems import Problem, did_you_mean, in_quotes

_ONE_LINE_HINT = (
    'Write one line that all sing: in degrees a line that begins with "all:", in ABC a tune '
    'without "V:".'
)


def entries_of(stated: Round, chorus: Chorus) -> list[tuple[str, ...]]:
    """For each entry that the field `round` states, the voices that begin the line together, in
    score order. Unknown names are left out."""
    return [
        chorus.in_order([voice for name in names for voice in _named(name, chorus)])
        for names in stated.names
    ]


def voices_of(stated: Round, chorus: Chorus) -> tuple[str, ...]:
    """All voices of a round, in score order."""
    return chorus.in_order([voice for entry in entries_of(stated, chorus) for voice in entry])


def sing_round(
    line: Score | None, stated: Round, source: Source, chorus: Chorus
) -> tuple[Score | None, list[Problem]]:
    """Make the score of a round from the score of its `line` and what the field `round` states.
    Returns it, or None and the problems. Without a readable line (None, or a score without parts),
    only the names in the field are checked."""
    entries = entries_of(stated, chorus)
    problems = list(_entry_problems(stated, entries, source, chorus))
    if line and line.parts:
        problems += _line_problems(line, source)
    if problems or line is None or not line.parts:
        return None, problems
    count, unit = stated.distance
    distance = count * (line.meter.bar if unit == "bar" else line.meter.beat)
    placed = tuple(RoundEntry(who, n * distance) for n, who in enumerate(entries))
    sung = line.length * stated.times
    # `end: together`: all stop when the voice that entered first has sung its line.
    length = sung if stated.end == "together" else placed[-1].onset + sung
    problems = _entries_that_do_not_fit(line, stated, placed, length, source, chorus)
    if problems:
        return None, problems
    return _perform(replace(line, entries=placed), stated.times, length), []


def without_notes(source: Source) -> Problem:
    """The problem of an exercise that has a field `round` but no notes."""
    message = 'The field "round" is given, but this exercise has no notes.'
    hint = 'Write the line of the round in a "```degrees" or "```abc" block, or delete "round".'
    return Problem(source.place_of("round"), "round", message, hint)


def _named(name: str, chorus: Chorus) -> tuple[str, ...]:
    """The voices that a name means. `all` means none here, because all voices together cannot enter
    one after another."""
    return chorus.named(name) or () if name != ALL else ()


def _entry_problems(
    stated: Round, entries: Sequence[tuple[str, ...]], source: Source, chorus: Chorus
) -> Iterator[Problem]:
    """Report unknown names, and voices that would enter twice."""
    known = [*chorus.voices, *chorus.groups]
    for number, (names, voices) in enumerate(zip(stated.names, entries, strict=True)):
        place = source.place_of("round", "entries", number)
        for name in names:
            if not _named(name, chorus):
                guess = did_you_mean(name[:40], known)
                message = f'There is no voice or group "{name[:40]}" in chorus.yml.{guess}'
                hint = f'Write one of {in_quotes(known)}, or several joined with "+".'
                yield Problem(place, "word-unknown", message, hint)
        again = [voice for voice in voices if any(voice in entry for entry in entries[:number])]
        if again:
            message = f'Another item of "entries" already contains {in_quotes(again)}.'
            hint = "Name each voice in one entry only; a group stands for all its voices."
            yield Problem(place, "round", message, hint)


def _line_problems(line: Score, source: Source) -> Iterator[Problem]:
    """Report why the written music cannot be the line of a round."""
    place = source.place_of("round")
    if ("passes",) in source.places:
        yield Problem(
            source.place_of("passes"),
            "round",
            '"passes" and "round" are both given, but a round has its own field "times".',
            'Delete "passes", and write how often the line is sung as "times" below "round".',
        )
    if line.file is not None:
        yield Problem(
            place,
            "round",
            "A score from a notation editor cannot be sung as a round.",
            "Write the line in degrees or ABC. Or write all voices out in the notation editor, and "
            'delete "round".',
        )
    elif len({part.shares for part in line.parts}) > 1 or line.parts[0].voice == LEADER:
        message = "There are several lines of music, but a round has only one, which all sing."
        yield Problem(place, "round", message, _ONE_LINE_HINT)
    elif line.meter.free:
        yield Problem(
            place,
            "round",
            "The meter is free, so nobody would know when to enter.",
            'Write a meter, such as "meter: 4/4" in degrees or "M:4/4" in ABC.',
        )


def _entries_that_do_not_fit(
    line: Score,
    stated: Round,
    entries: Sequence[RoundEntry],
    length: Fraction,
    source: Source,
    chorus: Chorus,
) -> list[Problem]:
    """Report entries that do not fit the line. `length` is that of the whole round in quarters."""
    problems: list[Problem] = []

    def complain(field: tuple[str | int, ...], message: str, hint: str) -> None:
        problems.append(Problem(source.place_of("round", *field), "round", message, hint))

    entering = chorus.in_order([voice for entry in entries for voice in entry.voices])
    singing = chorus.in_order([part.voice for part in line.parts])
    if entering != singing:
        complain(
            ("entries",),
            f"The line of music is for {in_quotes(singing)}, but the entries name "
            f"{in_quotes(entering)}.",
            'Name the same voices in both. To give the line to all of them, begin it with "all:" '
            'in degrees, or write it without "V:" in ABC, and delete the field "voices".',
        )
    elif entries[1].onset >= line.length * stated.times:
        complain(
            ("after",),
            "Each voice would finish before the next one enters, so no two would sing together.",
            f'Write a shorter time after "after:". The line lasts {_length(line, line.length)}'
            + (f", and is sung {stated.times} times." if stated.times > 1 else "."),
        )
    elif entries[-1].onset >= length:
        late = next(n for n, entry in enumerate(entries) if entry.onset >= length)
        complain(
            ("entries", late),
            f"{in_quotes(entries[late].voices)} would enter when all have stopped, because with "
            '"end: together" all stop when the first voice has finished.',
            'Write a larger number after "times:", a shorter time after "after:", or "end: each".',
        )
    elif line.pickup and stated.times > 1 and line.length % line.meter.bar:
        complain(
            ("times",),
            "The line begins with a pickup and ends with a whole bar, so it cannot be repeated "
            "without a gap.",
            "Make the last bar shorter by the length of the pickup.",
        )
    notes = sum(len(part.notes) for part in line.parts) * stated.times
    if length > MOST_BARS * line.meter.bar or notes > MOST_NOTES:
        problems.append(
            Problem(
                source.place_of("round"),
                "notation-size",
                f"The whole round has more than {MOST_BARS} bars or {MOST_NOTES:,} notes.",
                'Write a smaller number after "times:", or a shorter line.',
            )
        )
    return problems


def _length(line: Score, length: Fraction) -> str:
    """A length in quarters in words: in bars if they are whole, else in beats."""
    bars, rest = divmod(length, line.meter.bar)
    count, unit = (length / line.meter.beat, "beat") if rest else (bars, "bar")
    return f"{count} {unit}{'s' * (count != 1)}"


def _perform(line: Score, times: int, length: Fraction) -> Score:
    """The score of everything that is sung, up to `length` quarters."""
    entry_of = {voice: entry for entry in line.entries for voice in entry.voices}
    parts = tuple(
        _round_part(part, line, entry_of[part.voice], times, length) for part in line.parts
    )
    return Score(
        line.meter,
        line.mode,
        line.pickup,
        length,
        tuple(metered_starts(length, line.meter, line.pickup)),
        parts,
        merged(span for part in parts for event in part.events for span in event.fermatas),
        (WrittenBlock(()),),
        line=line,
    )


def _round_part(part: Part, line: Score, entry: RoundEntry, times: int, length: Fraction) -> Part:
    """Everything that one voice sings in a round of `length` quarters. `part` is what it sings in
    the line."""
    # the moments at which the voice begins the line, one for each time that it sings the line
    onsets = [entry.onset + time * line.length for time in range(times)]
    dynamics = [
        replace(
            dynamic,
            onset=onset + dynamic.onset,
            end=None if dynamic.end is None else min(onset + dynamic.end, length),
        )
        for onset in onsets
        for dynamic in part.dynamics
        if onset + dynamic.onset < length
    ]
    slurs = [
        Span(onset + slur.onset, slur.duration)
        for onset in onsets
        for slur in part.slurs
        if onset + slur.end <= length
    ]
    return replace(
        part,
        events=tuple(_events(part, onsets, length)),
        dynamics=tuple(dynamics),
        slurs=tuple(slurs),
        shares=entry.voices,
        same_staff=False,
    )


def _events(part: Part, onsets: Sequence[Fraction], length: Fraction) -> Iterator[Note | Rest]:
    """The notes and rests of one voice: a rest until it enters, the line at each of the `onsets`,
    and a rest to the end of the round."""
    events: list[Note | Rest] = [Rest(Fraction(0), onsets[0])] if onsets[0] else []
    for time, start in enumerate(onsets):
        for event in part.events:
            if start + event.onset < length:
                sung = _moved(event, start, length)
                if isinstance(sung, Note):
                    sung = replace(sung, drawn=sung.id, syllables=_verse(sung, time))
                events.append(sung)
    end = events[-1].end
    if end < length:
        events.append(Rest(end, length - end))
    yield from numbered(events, part.voice)


def _moved(event: Note | Rest, start: Fraction, length: Fraction) -> Note | Rest:
    """An event of the line when the line begins at `start`; cut at `length`, the end of the
    round."""
    onset = start + event.onset
    duration = min(event.duration, length - onset)
    # Of the fermatas, only one during which the round ends counts, and it lasts to that end.
    fermatas = tuple(
        Span(start + fermata.onset, length - start - fermata.onset)
        for fermata in event.fermatas
        if start + fermata.onset < length <= start + fermata.end
    )
    if isinstance(event, Rest):
        return replace(event, onset=onset, duration=duration, fermatas=fermatas)
    glides = event.glide_at is not None and event.glide_at < duration
    return replace(
        event,
        onset=onset,
        duration=duration,
        fermatas=fermatas,
        glide_at=event.glide_at if glides else None,
        staggered=tuple(offset for offset in event.staggered if offset < duration),
    )


def _verse(note: Note, time: int) -> tuple[Syllable | None, ...]:
    """The syllable of the verse that is sung the `time`th time (from 0), alone in a tuple; empty
    for music without words."""
    verses = note.syllables
    return (verses[time % len(verses)],) if verses else ()
