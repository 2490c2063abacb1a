"""Makes a `WrittenVoice` for each voice of a MusicXML file, complete from the first bar to the
last.

MusicXML keeps the notes of a part in *layers*, which it calls voices: one for each line on a staff.
In each bar, one of our voices has the notes of its layer, or of several, and rests where there is
nothing. A dynamic that is written between two notes counts from the next note on.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count, pairwise
from typing import TYPE_CHECKING

from chorus_handbook.music.lyrics import picture_problem
from chorus_handbook.music.musicxml.notes import lyrics
from chorus_handbook.music.musicxml.walk import LayerKey, Measure, Timed
from chorus_handbook.music.score import Syllable
from chorus_handbook.music.written import Barline, Mark, Piece, WrittenNote, WrittenVoice
from chorus_handbook.problems import Place, Problem

if TYPE_CHECKING:
    from lxml.etree import _Element


@dataclass(frozen=True, slots=True)
class Voice:
    """A voice of a part, and where its notes are in the file.

    key: its layer.
    follows: another layer on the same staff. Where nothing is printed for this voice, not even a
        rest, it sings what is in that layer.
    also: further layers with notes for the same singers, where they divide.
    """

    key: LayerKey
    follows: LayerKey | None = None
    also: tuple[LayerKey, ...] = ()


def barlines(parts: Sequence[Sequence[Measure]]) -> list[Barline]:
    """The bar lines before, between and after the measures of all `parts` together. All parts share
    them, because many editors write repeat signs only in the first part."""
    first = parts[0]
    lines = [Barline(measure.place) for measure in (*first, first[-1])]
    for part in parts:
        for measure, before, after in zip(part, lines, lines[1:], strict=False):
            before.starts = before.starts or measure.left.starts
            before.ending = before.ending or measure.left.ending
            before.times_back = max(before.times_back, measure.left.times_back)
            after.times_back = max(after.times_back, measure.right.times_back)
            after.over = after.over or measure.right.over
    for line in lines[1:-1]:
        line.soft = False
    return lines


def written(
    place: Place,
    voice: Voice,
    measures: Sequence[Measure],
    lengths: Sequence[Fraction],
    edges: Sequence[Barline],
    elements: dict[str, _Element],
    problems: list[Problem],
) -> WrittenVoice:
    """Make the `WrittenVoice` of a voice.

    place: where its part is named in the file.
    measures: the measures of its part.
    lengths: how long each bar is, in quarters.
    edges: the bar lines, from `barlines`.
    elements: the note elements of the file by `WrittenNote.id`, in which the words are.
    problems: the list to which problems are added.
    """
    result = WrittenVoice(place, [replace(edge) for edge in edges])
    for n, (measure, length) in enumerate(zip(measures, lengths, strict=True)):
        timed = _layer(voice, measure, problems)
        notes = list(_filled(timed, length, measure, n, problems))
        marks = [(at, mark) for at, staff, mark in measure.marks if staff in (0, voice.key[0])]
        result.pieces.append(Piece(measure.place, list(_with_marks(notes, marks))))
        result.notes += (t.note for t in notes)
    _balance_hairpins(result)
    _join_ties(result.notes)
    _lay_words(result.notes, elements)
    problems += _pictures(result.notes)
    return result


def _layer(voice: Voice, measure: Measure, problems: list[Problem]) -> list[Timed]:
    """The notes and rests of a voice in a measure, from all of its layers."""
    layer = measure.layers.get(voice.key)
    timed = _in_order(layer.timed) if layer else []
    shared = measure.layers.get(voice.follows) if voice.follows else None
    if shared:
        timed = _with_shared(timed, _in_order(shared.timed))
    for key in voice.also:
        further = measure.layers.get(key)
        if further:
            timed = _divided(timed, further.timed, problems)
    return timed


def _with_shared(own: Sequence[Timed], others: Iterable[Timed]) -> list[Timed]:
    """What a voice sings that shares a staff with another voice, whose notes are `others`. Where
    nothing is printed for it, a note of the other voice is for both; a voice that is silent has a
    visible rest (common practice)."""
    printed = [t for t in own if not t.hidden]
    shared = [
        # a copy, because the other singers have the note too
        Timed(t.onset, replace(t.note))
        for t in others
        if not t.note.silent and not _overlaps(t, printed)
    ]
    return sorted([*printed, *shared], key=lambda t: t.onset)


def _overlaps(timed: Timed, printed: Sequence[Timed]) -> bool:
    """Whether a note overlaps with any of those in `printed`, which are in order."""
    begun = bisect_left(printed, timed.end, key=lambda t: t.onset)  # how many begin before its end
    return any(t.end > timed.onset for t in printed[max(begun - 2, 0) : begun])


def _in_order(timed: Iterable[Timed]) -> list[Timed]:
    """The notes and rests that have a duration, in the order in which they begin."""
    return sorted((t for t in timed if t.note.duration), key=lambda t: t.onset)


def _divided(timed: list[Timed], further: Iterable[Timed], problems: list[Problem]) -> list[Timed]:
    """Add the notes of a second line for the same singers, who divide. Notes of both lines that
    begin and end together become one. Where the lines have different rhythms, this is reported."""
    first = {(t.onset, t.end): t.note for t in timed if not t.note.silent}
    added = []
    for other in _in_order(further):
        note = first.get((other.onset, other.end))  # the note of the first line at the same time
        if other.note.silent:
            continue
        if note is None or not note.pitch or not other.note.pitch:
            added.append(other)
            continue
        pitches = {note.pitch, *note.below, other.note.pitch, *other.note.below}
        note.pitch, *below = sorted(pitches, key=lambda p: (-p.midi, -p.step))
        note.below = tuple(below)
        if not other.note.tie:
            note.tie = None
    added_ids = {id(t) for t in added}
    voiced = sorted([*added, *(t for t in timed if not t.note.silent)], key=lambda t: t.onset)
    for one, following in pairwise(voiced):
        if following.onset < one.end and {id(one), id(following)} & added_ids:
            problems.append(
                Problem(
                    max(one.note.place, following.note.place),
                    "notation-voice",
                    "Here a second voice of this part has a rhythm of its own, but the part is "
                    "named after one voice.",
                    'Name the part after all voices that sing it, joined with "+", as in '
                    '"Soprano + Alto". Or give each voice a staff of its own.',
                )
            )
            return timed
    if not added:
        return timed
    rests = [t for t in timed if t.note.silent]
    return sorted([*voiced, *_silent_rests(rests, voiced)], key=lambda t: t.onset)


def _silent_rests(rests: Iterable[Timed], voiced: Sequence[Timed]) -> Iterator[Timed]:
    """The rests during which none of the notes in `voiced` sounds."""
    ends = [t.end for t in voiced]  # in order, as nothing overlaps
    for rest in rests:
        following = bisect_right(ends, rest.onset)
        if following == len(voiced) or voiced[following].onset >= rest.end:
            yield rest


def _filled(
    timed: Iterable[Timed],
    length: Fraction,
    measure: Measure,
    number: int,
    problems: list[Problem],
) -> Iterator[Timed]:
    """The notes of a bar of `length` quarters, with rests in the gaps, so that they fill it.
    `number` is the index of the bar."""
    now = Fraction(0)
    for t in timed:
        if t.onset < now:
            problems.append(
                Problem(
                    t.note.place,
                    "notation-token",
                    "Two notes of one voice sound at once here, but do not begin and end together.",
                    "In the notation editor, write one of them in a second voice, or both as a "
                    "chord.",
                )
            )
            return
        if t.onset > now:
            yield Timed(now, WrittenNote(measure.place, None, t.onset - now, number))
        yield t
        now = t.end
    if now < length:
        yield Timed(now, WrittenNote(measure.place, None, length - now, number))


def _with_marks(
    notes: Iterable[Timed], marks: Iterable[tuple[Fraction, Mark]]
) -> Iterator[WrittenNote | Mark]:
    """The notes and marks of a bar in order. `marks` has each mark with its moment; it is placed
    before the first note that begins at that moment or later."""
    waiting = deque(sorted(marks, key=lambda timed_mark: timed_mark[0]))
    for t in notes:
        while waiting and waiting[0][0] <= t.onset:
            _, mark = waiting.popleft()
            yield mark
        yield t.note
    yield from (mark for _, mark in waiting)


def _balance_hairpins(result: WrittenVoice) -> None:
    """Remove the marks of hairpins that never end, end where they begin, or never began; they are
    still drawn. A hairpin also ends at a dynamic, or where another begins. Before, the mark at the
    end of every hairpin has the sign ")"; afterwards it is "<)" or ">)"."""
    valid: dict[int, Mark] = {}  # the marks that stay, by their index among all marks
    marks = 0  # how many marks there have been
    begun: int | None = None  # the index of the mark at which the open hairpin begins
    has_notes = False  # whether a note or rest has followed the beginning of the open hairpin
    for event in (event for piece in result.pieces for event in piece.events):
        if isinstance(event, WrittenNote):
            has_notes = True
            continue
        if begun is not None:
            if not has_notes:
                del valid[begun]
            elif event.sign == ")":
                valid[marks] = Mark(event.place, valid[begun].sign[0] + ")")
            begun = None
        if event.sign != ")":
            valid[marks] = event
            if event.sign.endswith("("):
                begun, has_notes = marks, False
        marks += 1
    if begun is not None:
        del valid[begun]
    number = count()
    for piece in result.pieces:
        piece.events = [
            left
            for event in piece.events
            if (left := event if isinstance(event, WrittenNote) else valid.get(next(number)))
        ]


def _join_ties(notes: Sequence[WrittenNote]) -> None:
    """Keep ties that lead to a note of the same pitch; all others are drawn but not sung. A tied
    note becomes `loose`: if, because of a repeat, another note follows, it is sung without the
    tie."""
    for n, note in enumerate(notes):
        if note.tie:
            following = notes[n + 1] if n + 1 < len(notes) else None
            if following and following.sounds_like(note) and not note.breath:
                following.tied = note.loose = True
                # A glide starts from the last of tied notes.
                following.glide, note.glide = following.glide or note.glide, False
            else:
                note.tie = None


#: The words of a note, by the name of the verse: the syllable (None where the syllable before
#: continues), and whether an extender line follows it.
_Words = dict[str, tuple[Syllable | None, bool]]


def _lay_words(notes: Sequence[WrittenNote], elements: dict[str, _Element]) -> None:
    """Give each note its syllables from the file, one for each verse in the order of the verses'
    numbers. `elements` are the note elements by `WrittenNote.id`."""
    found: list[_Words] = [
        {verse: (syllable, held) for verse, syllable, held in lyrics(elements[note.id])}
        if note.id
        else {}
        for note in notes
    ]
    _untie(notes, found)
    verses = sorted({verse for words in found for verse in words}, key=_verse_order)
    for n, (note, words) in enumerate(zip(notes, found, strict=True)):
        for verse in verses:
            syllable, held = words.get(verse, (None, False))
            if syllable:
                goes_on = held or syllable.joined or _typed_line(verse, n, notes, found)
                melisma = _melisma(verse, n, notes, found) if goes_on else 0
                syllable = replace(syllable, melisma=melisma)
            note.words.append(syllable)


def _pictures(notes: Sequence[WrittenNote]) -> Iterator[Problem]:
    """Report syllables that cannot be printed, such as those with an emoji."""
    for note in notes:
        for syllable in note.words:
            wrong = picture_problem(syllable.text, note.place) if syllable else None
            if wrong:
                yield wrong


def _untie(notes: Sequence[WrittenNote], found: Sequence[_Words]) -> None:
    """Remove ties to notes on which some verse has a syllable of its own, because such a note is
    sung anew; in the other verses the syllable before continues. Words of notes that stay tied are
    removed. `found` has the words of each of the `notes`."""
    known = {verse for words in found for verse in words}
    for before, note, words in zip(notes, notes[1:], found[1:], strict=False):
        if note.tied and any(syllable for syllable, _ in words.values()):
            before.tie, note.tied = None, False
            for verse in known - words.keys():
                words[verse] = None, True
        elif note.tied:
            words.clear()


def _typed_line(
    verse: str, number: int, notes: Sequence[WrittenNote], found: Sequence[_Words]
) -> bool:
    """Whether the note after the one with the index `number` has underscores in place of a
    syllable: an extender line that was typed."""
    following = next((n for n in range(number + 1, len(notes)) if not notes[n].tied), None)
    if following is None or verse not in found[following]:
        return False
    syllable, _ = found[following][verse]
    return syllable is None


def _melisma(verse: str, number: int, notes: Sequence[WrittenNote], found: Sequence[_Words]) -> int:
    """Over how many further notes the syllable of the note with the index `number` lasts: up to a
    rest or the next syllable."""
    further = 0
    for n in range(number + 1, len(notes)):
        syllable, _ = found[n].get(verse, (None, True))
        if notes[n].silent or syllable:
            break
        further += not notes[n].tied
    return further


def _verse_order(verse: str) -> tuple[int, int, str]:
    """A key that sorts verses by the number in their name; those without a number come last."""
    number = "".join(c for c in verse if c.isdecimal() and c.isascii())[:6]
    return (0, int(number), verse) if number else (1, 0, verse)
