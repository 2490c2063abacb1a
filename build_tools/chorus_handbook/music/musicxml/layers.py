"""Makes voices of the parts of a score file, each complete from the first bar to the last.

In each bar a voice has what the file has for it, and rests where there is nothing. A dynamic that
is written between two notes of a voice counts from the next note on.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
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
    """A voice of a part. Its notes are in the layer `key` of the file.

    also: other layers with notes for the same singers, where they divide.
    follows: another layer on the same staff. In bars where nothing is printed for this voice, not
        even rests, it sings that layer.
    """

    key: LayerKey
    follows: LayerKey | None = None
    also: tuple[LayerKey, ...] = ()


def barlines(parts: Sequence[Sequence[Measure]]) -> list[Barline]:
    """The bar lines between the measures. All parts share them, because many editors write repeat
    signs only in the first part."""
    first = parts[0]
    found = [Barline(measure.place) for measure in (*first, first[-1])]
    for part in parts:
        for n, measure in enumerate(part):
            found[n].starts = found[n].starts or measure.left.starts
            found[n].ending = found[n].ending or measure.left.ending
            found[n].times_back = max(found[n].times_back, measure.left.times_back)
            found[n + 1].times_back = max(found[n + 1].times_back, measure.right.times_back)
            found[n + 1].over = found[n + 1].over or measure.right.over
    for barline in found[1:-1]:
        barline.soft = False
    return found


def written(
    place: Place,
    voice: Voice,
    measures: Sequence[Measure],
    lengths: Sequence[Fraction],
    edges: Sequence[Barline],
    notes: dict[str, _Element],
    problems: list[Problem],
) -> WrittenVoice:
    """One voice as a `WrittenVoice`. `lengths` are the lengths of the bars."""
    result = WrittenVoice(place, [replace(edge) for edge in edges])
    for n, (measure, length) in enumerate(zip(measures, lengths, strict=True)):
        timed = _layer(voice, measure, problems)
        tones = list(_filled(timed, length, measure, n, problems))
        marks = [(at, mark) for at, staff, mark in measure.marks if staff in (0, voice.key[0])]
        result.pieces.append(Piece(measure.place, list(_with_marks(tones, marks))))
        result.tones += (t.tone for t in tones)
    _balance_hairpins(result)
    _join_ties(result.tones)
    _lay_words(result.tones, notes)
    problems += _pictures(result.tones)
    return result


def _layer(voice: Voice, measure: Measure, problems: list[Problem]) -> list[Timed]:
    """What a voice sings in a measure, from all layers that it has a share in."""
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
    """What a voice that shares a staff sings: where nothing is printed for it, the note of the
    other voice is for both (common practice). A voice that is silent has a visible rest."""
    printed = [t for t in own if not t.hidden]
    shared = [
        # a copy, because the other singers have the note too
        Timed(t.onset, replace(t.tone))
        for t in others
        if not t.tone.silent and not _meets(t, printed)
    ]
    return sorted([*printed, *shared], key=lambda t: t.onset)


def _meets(timed: Timed, printed: Sequence[Timed]) -> bool:
    """Whether a note overlaps with any of the notes in `printed`, which are in order."""
    before = bisect_left(printed, timed.end, key=lambda t: t.onset)
    return any(t.end > timed.onset for t in printed[max(before - 2, 0) : before])


def _in_order(timed: Iterable[Timed]) -> list[Timed]:
    return sorted((t for t in timed if t.tone.duration), key=lambda t: t.onset)


def _divided(timed: list[Timed], further: Iterable[Timed], problems: list[Problem]) -> list[Timed]:
    """Add the notes of a second line for the same singers. Where both lines have notes, they must
    have the same rhythm; otherwise it is reported."""
    first = {(t.onset, t.end): t for t in timed if not t.tone.silent}
    added = []
    for other in _in_order(further):
        same = first.get((other.onset, other.end))  # the note of the first line at the same time
        if other.tone.silent:
            continue
        if same is None or not same.tone.pitch or not other.tone.pitch:
            added.append(other)
            continue
        mine = same.tone
        pitches = {same.tone.pitch, *mine.below, other.tone.pitch, *other.tone.below}
        mine.pitch, *below = sorted(pitches, key=lambda p: (-p.midi, -p.step))
        mine.below = tuple(below)
        if not other.tone.tie:
            mine.tie = None
    added_ids = {id(t) for t in added}
    voiced = sorted([*added, *(t for t in timed if not t.tone.silent)], key=lambda t: t.onset)
    for one, following in pairwise(voiced):
        if following.onset < one.end and {id(one), id(following)} & added_ids:
            problems.append(
                Problem(
                    max(one.tone.place, following.tone.place),
                    "notation-voice",
                    "Here a second voice of this part has a rhythm of its own, but the part is "
                    "named after one voice.",
                    "Name the part after all who sing it, joined with +, or give each a staff.",
                )
            )
            return timed
    if not added:
        return timed
    rests = [t for t in timed if t.tone.silent]
    return sorted([*voiced, *_silent_rests(rests, voiced)], key=lambda t: t.onset)


def _silent_rests(rests: Iterable[Timed], voiced: Sequence[Timed]) -> Iterator[Timed]:
    """The rests during which no note sounds."""
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
    """The notes of a bar, with rests in the gaps, so that they fill it."""
    now = Fraction(0)
    for t in timed:
        if t.onset < now:
            problems.append(
                Problem(
                    t.tone.place,
                    "notation-token",
                    "Two notes of one voice sound at once here and do not begin and end together.",
                    "Write one of them in a second voice, or as a chord.",
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
    tones: Iterable[Timed], marks: Iterable[tuple[Fraction, Mark]]
) -> Iterator[WrittenNote | Mark]:
    """The notes in order, each mark before the first note that begins with it or later."""
    left = sorted(marks, key=lambda mark: mark[0])
    for t in tones:
        while left and left[0][0] <= t.onset:
            yield left.pop(0)[1]
        yield t.tone
    yield from (mark for _, mark in left)


def _balance_hairpins(result: WrittenVoice) -> None:
    """Remove the marks of hairpins that never end, end where they begin, or never began; they are
    still drawn. A hairpin also ends at a dynamic or where another begins. In `result`, every
    hairpin's end has the sign ")"; afterwards it is "<)" or ">)"."""
    valid: dict[int, Mark] = {}  # the marks that stay, by their number among all marks
    marks = 0
    begun: int | None = None  # the number of the open hairpin
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


def _join_ties(tones: Sequence[WrittenNote]) -> None:
    """Keep ties that lead to a note of the same pitch; others are only drawn. A joined note is
    `loose`: if a repeat makes another note follow it, it is sung without the tie."""
    for n, tone in enumerate(tones):
        if tone.tie:
            following = tones[n + 1] if n + 1 < len(tones) else None
            if following and following.sounds_like(tone) and not tone.breath:
                following.tied = tone.loose = True
                # A glide starts from the last of tied notes.
                following.glide, tone.glide = following.glide or tone.glide, False
            else:
                tone.tie = None


#: The words of a note, by verse: the syllable (None: the one before continues), and whether an
#: extender line follows it.
_Words = dict[str, tuple[Syllable | None, bool]]


def _lay_words(tones: Sequence[WrittenNote], notes: dict[str, _Element]) -> None:
    """Give each note its syllables from the file; verses are in the order of their numbers."""
    found: list[_Words] = [
        {verse: (syllable, held) for verse, syllable, held in lyrics(notes[tone.id])}
        if tone.id
        else {}
        for tone in tones
    ]
    _untie(tones, found)
    verses = sorted({verse for words in found for verse in words}, key=_verse_order)
    for n, (tone, words) in enumerate(zip(tones, found, strict=True)):
        for verse in verses:
            syllable, held = words.get(verse, (None, False))
            if syllable:
                goes_on = held or syllable.joined or _typed_line(verse, n, tones, found)
                over = _melisma(verse, n, tones, found) if goes_on else 0
                syllable = replace(syllable, melisma=over)
            tone.words.append(syllable)


def _pictures(tones: Sequence[WrittenNote]) -> Iterator[Problem]:
    for tone in tones:
        for syllable in tone.words:
            wrong = picture_problem(syllable.text, tone.place) if syllable else None
            if wrong:
                yield wrong


def _untie(tones: Sequence[WrittenNote], found: Sequence[_Words]) -> None:
    """Remove ties to notes on which a verse has a syllable of its own, because such a note is sung
    anew; in the other verses it continues the syllable before. Notes that stay tied have no
    words."""
    known = {verse for words in found for verse in words}
    for before, tone, words in zip(tones, tones[1:], found[1:], strict=False):
        if tone.tied and any(syllable for syllable, _ in words.values()):
            before.tie, tone.tied = None, False
            for verse in known - words.keys():
                words[verse] = None, True
        elif tone.tied:
            words.clear()


def _typed_line(
    verse: str, number: int, tones: Sequence[WrittenNote], found: Sequence[_Words]
) -> bool:
    """Whether the next note has underscores in place of a syllable (an extender line, typed)."""
    following = next((n for n in range(number + 1, len(tones)) if not tones[n].tied), len(tones))
    return following < len(tones) and found[following].get(verse, (True, True))[0] is None


def _melisma(verse: str, number: int, tones: Sequence[WrittenNote], found: Sequence[_Words]) -> int:
    """How many further notes the syllable of note `number` (from 0) lasts."""
    over = 0
    for n in range(number + 1, len(tones)):
        if tones[n].silent or found[n].get(verse, (None, True))[0]:
            break
        over += not tones[n].tied
    return over


def _verse_order(verse: str) -> tuple[int, int, str]:
    """A key that sorts verses by the number in their name; those without a number come last."""
    number = "".join(c for c in verse if c.isdecimal() and c.isascii())[:6]
    return (0, int(number), verse) if number else (1, 0, verse)
