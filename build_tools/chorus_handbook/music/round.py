"""A round: from its one written line to all that its voices sing.

Every voice sings the line in its own octave, from its entry on. What later stages measure and play
is this score; what they draw and proofread is its `line`.

Where verses are written, each time takes the next. A fermata shows where a voice may stop (common
practice), so it is held only where the round ends.
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
from chorus_handbook.problems import Problem, did_you_mean

_ONE_LINE = "Write one line for all who sing: all: in degrees, or a tune without V: in ABC."


def entries_of(stated: Round, chorus: Chorus) -> list[tuple[str, ...]]:
    """The voices of each entry, in the chorus's order; names that nobody has are left out."""
    return [
        chorus.in_order([voice for name in names for voice in _named(name, chorus)])
        for names in stated.names
    ]


def voices_of(stated: Round, chorus: Chorus) -> tuple[str, ...]:
    """Who sings a round, in the chorus's order."""
    return chorus.in_order([voice for entry in entries_of(stated, chorus) for voice in entry])


def sing_round(
    line: Score | None, stated: Round, source: Source, chorus: Chorus
) -> tuple[Score | None, list[Problem]]:
    """The score of a round whose `line` has been read, or why it cannot be sung. Without a line
    that could be read to its end, only the entries are looked at."""
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
    length = sung if stated.end == "together" else placed[-1].onset + sung
    problems = _misfits(line, stated, placed, length, source, chorus)
    if problems:
        return None, problems
    return _perform(replace(line, entries=placed), stated.times, length), []


def without_notes(source: Source) -> Problem:
    """A round that has nothing to sing."""
    message = "round says how a line is sung, and this exercise has no notation."
    hint = "Write the line in a fence: degrees or abc, or delete round."
    return Problem(source.place_of("round"), "round", message, hint)


def _named(name: str, chorus: Chorus) -> tuple[str, ...]:
    """The voices behind a name; `all` is nobody's entry, as all cannot enter twice."""
    return chorus.named(name) or () if name != ALL else ()


def _entry_problems(
    stated: Round, entries: Sequence[tuple[str, ...]], source: Source, chorus: Chorus
) -> Iterator[Problem]:
    """Names that nobody has, and voices that would enter twice."""
    known = [*chorus.voices, *chorus.groups]
    for number, (names, voices) in enumerate(zip(stated.names, entries, strict=True)):
        place = source.place_of("round", "entries", number)
        for name in names:
            if not _named(name, chorus):
                guess = did_you_mean(name[:40], known)
                message = f'There is no voice or group "{name[:40]}" to enter in a round.{guess}'
                hint = f"An entry is one of {', '.join(known)}, or voices joined with +."
                yield Problem(place, "word-unknown", message, hint)
        again = [voice for voice in voices if any(voice in entry for entry in entries[:number])]
        if again:
            message = f"{', '.join(again)} would enter a second time."
            yield Problem(place, "round", message, "Name each voice in one entry only.")


def _line_problems(line: Score, source: Source) -> Iterator[Problem]:
    """Why what was written cannot be the line of a round."""
    place = source.place_of("round")
    if ("passes",) in source.places:
        yield Problem(
            source.place_of("passes"),
            "round",
            "passes stands beside a round, which says itself how often it is sung.",
            "Delete passes, and write times: under round.",
        )
    if line.file is not None:
        yield Problem(
            place,
            "round",
            "A score from a notation editor cannot be sung as a round.",
            "Write the line in degrees or ABC, or all voices in the notation editor, without "
            "round.",
        )
    elif len({part.shares for part in line.parts}) > 1 or line.parts[0].voice == LEADER:
        message = "A round is one line for all of its voices, and the notation has several."
        yield Problem(place, "round", message, _ONE_LINE)
    elif line.meter.free:
        yield Problem(
            place,
            "round",
            "The meter is free, so that nobody knows when to enter.",
            "Write a meter, such as meter: 4/4 in degrees or M:4/4 in ABC.",
        )


def _misfits(
    line: Score,
    stated: Round,
    entries: Sequence[RoundEntry],
    length: Fraction,
    source: Source,
    chorus: Chorus,
) -> list[Problem]:
    """Where the entries do not fit the line; `length` is that of the whole."""
    problems: list[Problem] = []

    def complain(field: tuple[str | int, ...], message: str, hint: str) -> None:
        problems.append(Problem(source.place_of("round", *field), "round", message, hint))

    entering = chorus.in_order([voice for entry in entries for voice in entry.voices])
    singing = chorus.in_order([part.voice for part in line.parts])
    if entering != singing:
        complain(
            ("entries",),
            f"The line is for {', '.join(singing)}, the entries are those of "
            f"{', '.join(entering)}.",
            "Let both name the same voices. all: in degrees, or a tune without V: in ABC, is for "
            "those who enter, if the field voices does not say otherwise.",
        )
    elif entries[1].onset >= line.length * stated.times:
        complain(
            ("after",),
            "Each voice has finished before the next one enters, so that no two sing together.",
            f"Let them enter sooner: the line lasts {_length(line, line.length)}"
            + (f", and is sung {stated.times} times." if stated.times > 1 else "."),
        )
    elif entries[-1].onset >= length:
        late = next(n for n, entry in enumerate(entries) if entry.onset >= length)
        complain(
            ("entries", late),
            f"{', '.join(entries[late].voices)} would enter when all have stopped: "
            "with end: together, all stop when the first has finished.",
            "Write a larger number at times: or a smaller one at after:, or write end: each.",
        )
    elif line.pickup and stated.times > 1 and line.length % line.meter.bar:
        complain(
            ("times",),
            "The line begins with a pickup and ends with a whole bar, so that it cannot follow "
            "itself.",
            "Make the last bar as much shorter as the pickup is long.",
        )
    notes = sum(len(part.notes) for part in line.parts) * stated.times
    if length > MOST_BARS * line.meter.bar or notes > MOST_NOTES:
        problems.append(
            Problem(
                source.place_of("round"),
                "notation-size",
                f"All together the round has more than {MOST_BARS} bars or {MOST_NOTES:,} notes.",
                "Let it be sung fewer times; keys repeat it as well.",
            )
        )
    return problems


def _length(line: Score, length: Fraction) -> str:
    bars, rest = divmod(length, line.meter.bar)
    count, unit = (length / line.meter.beat, "beat") if rest else (bars, "bar")
    return f"{count} {unit}{'s' * (count != 1)}"


def _perform(line: Score, times: int, length: Fraction) -> Score:
    """All that is sung, up to `length`."""
    onsets = {voice: entry.onset for entry in line.entries for voice in entry.voices}
    together = {voice: entry.voices for entry in line.entries for voice in entry.voices}
    parts = tuple(
        replace(
            part,
            events=tuple(_events(part, line, onsets[part.voice], times, length)),
            dynamics=tuple(
                replace(dynamic, onset=onset + dynamic.onset, end=end)
                for onset in _onsets(line, onsets[part.voice], times)
                for dynamic in part.dynamics
                for end in [None if dynamic.end is None else min(onset + dynamic.end, length)]
                if onset + dynamic.onset < length
            ),
            slurs=tuple(
                Span(onset + slur.onset, slur.duration)
                for onset in _onsets(line, onsets[part.voice], times)
                for slur in part.slurs
                if onset + slur.end <= length
            ),
            shares=together[part.voice],
            same_staff=False,
        )
        for part in line.parts
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


def _onsets(line: Score, entry: Fraction, times: int) -> list[Fraction]:
    """When a voice begins the line, each time."""
    return [entry + time * line.length for time in range(times)]


def _events(
    part: Part, line: Score, entry: Fraction, times: int, length: Fraction
) -> Iterator[Note | Rest]:
    """What one voice sings from its entry on, with rests before and after it."""
    events: list[Note | Rest] = [Rest(Fraction(0), entry)] if entry else []
    for time, start in enumerate(_onsets(line, entry, times)):
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
    """An event of the line that is begun at `start`, in a round that stops at `length`."""
    onset = start + event.onset
    duration = min(event.duration, length - onset)
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
    """The syllable of the verse that is sung this time."""
    verses = note.syllables
    return (verses[time % len(verses)],) if verses else ()
