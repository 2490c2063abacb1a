"""Computes from the notes how soon an exercise is learned by ear: its level.

Each of five features (parts, key, leaps, rhythm, length) gets a level of its own: 1 (learned at
once), 2 (learned after a few tries) or 3 (learned over some weeks). The rules are our choice;
`docs/writing/level.md` explains them with their reasons. In case of doubt they give the lower
level: authors are told when the level they state differs from this one, and a wrong notice does
more harm than a missing one.

Singers learn their own part, so each line is judged by itself. Where the chorus answers a leader,
each answer is judged by itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Sequence
from fractions import Fraction
from itertools import groupby, islice, pairwise

from chorus_handbook.music.facts import Difficulty
from chorus_handbook.music.lines import Line, at_once, lines_by_block, notes_by_block
from chorus_handbook.music.rhythm_level import rhythm
from chorus_handbook.music.score import LEADER, Degree, Note, Part, Score

#: The most new notes of a line of level 1, and of one of level 2; then the most different
#: syllables.
_MOST_NOTES, _MOST_SYLLABLES = (12, 20), (8, 16)
#: Intervals in semitones.
_FOURTH, _FIFTH, _OCTAVE = 5, 7, 12
#: Intervals that are hard to sing, in semitones: the tritone and the sevenths. (Those of more than
#: an octave are, too.)
_HARD = (6, 10, 11)
#: This many changes of direction in a row make a zigzag, as in broken thirds.
_ZIGZAG = 6
#: The scale steps of the tonic chord, counted from 0.
_TONIC_CHORD = (0, 2, 4)
#: A figure that returns is recognised if it has at least this many notes, ...
_SHORTEST_FIGURE = 3
#: ... and is looked for at no more than this many earlier places, which bounds the work.
_MOST_PLACES = 50


def difficulty(score: Score, clock: Callable[[Fraction], float]) -> Difficulty:
    """The level of each feature of a score. `clock` turns a moment of the score (in quarters) into
    seconds. For a round, key, leaps and length are those of its one line."""
    written = score.written
    sung = (part for part in written.parts if part.voice != LEADER and part.notes)
    # Voices that sing the same written line are judged once.
    parts = list({part.shares or part.voice: part for part in sung}.values())
    tune = parts[0].sung if score.line and parts else ()
    return Difficulty(
        parts=max(_parts(lines, tune) for lines in lines_by_block(score)),
        key=_key(parts, score.mode),
        leaps=max((_leaps(part.sung, score.mode) for part in parts), default=1),
        rhythm=rhythm(score, clock),
        length=max((_length(part, written) for part in parts), default=1),
    )


def _parts(lines: Collection[Line], tune: Sequence[Note]) -> int:
    """The level of the feature "parts", for the lines of one block (lines that sound together).

    It is 1 when one line sounds at a time, 2 for two lines, or for more that are easy to find, and
    3 for all others. `tune` is the one line of a round; it is empty for other exercises.
    """
    lines = {single for line in lines if line for single in _undivided(line)}
    together = at_once(lines)
    pitches = [{note.degree for note in line} for line in lines]
    speaks = any(note.spoken for line in lines for note in line)
    if together < 2 or (len(set().union(*pitches)) < 2 and not speaks):
        return 1
    if together == 2 or all(len(own) <= 2 for own in pitches):
        return 2
    round_tune = [note.degree for note in tune if note.degree] or _tune_of_round(lines)
    if _stop_on_a_tune(lines) or (round_tune and _new_notes(round_tune) <= _MOST_NOTES[0]):
        return 2
    return 3


def _undivided(line: Line) -> Iterator[Line]:
    """The separate lines of a voice whose singers divide: one of all their highest notes, one of
    all that are second from the top, and so on. Where there are fewer notes than lines, the lower
    lines share the lowest."""
    for depth in range(1 + max(len(note.below) for note in line)):
        yield tuple(
            note._replace(degree=[note.degree, *note.below][min(depth, len(note.below))], below=())
            for note in line
        )


def _stop_on_a_tune(lines: Collection[Line]) -> bool:
    """Whether all lines begin with the same tune, and each stops on one of its notes."""
    tune = _attacks(max(lines, key=len))
    return all(_attacks(line) == tune[: len(line)] for line in lines)


def _tune_of_round(lines: Collection[Line]) -> list[Degree] | None:
    """The tune of a round that is written out, in which lines begin one after another and may break
    off; None when the lines are not such a round."""
    tune = max(lines, key=len)
    attacks = _attacks(tune, since=tune[0].onset)
    same = all(_attacks(line, since=line[0].onset) == attacks[: len(line)] for line in lines)
    entries = {line[0].onset for line in lines}
    is_round = same and len(entries) == len(lines)
    return [note.degree for note in tune if note.degree] if is_round else None


def _attacks(line: Line, since: Fraction = Fraction(0)) -> list[tuple[object, ...]]:
    """What two lines with the same tune have in common: for each note, when it begins after
    `since`, and its sound. When a note ends does not count, because a line may stop on it."""
    return [(note.onset - since, note.degree, note.spoken) for note in line]


def _key(parts: Sequence[Part], mode: str) -> int:
    """The level of the feature "key". It is 1 for major or minor without notes foreign to the
    scale, 2 for another mode or with foreign notes, and 3 when several lines have foreign notes or
    one is reached or left by a leap."""
    lines = {part.line: part.sung for part in parts if part.sung}
    foreign = [notes for notes in lines.values() if any(_foreign(n, mode) for n in notes)]
    by_leap = any(
        (_foreign(a, mode) or _foreign(b, mode)) and a.glide_at is None and _size(a, b, mode) > 2
        for notes in foreign
        for a, b in pairwise(notes)
    )
    if len(foreign) > 1 or by_leap:
        return 3
    return 2 if foreign or (lines and mode not in ("major", "minor")) else 1


def _foreign(note: Note, mode: str) -> bool:
    """Whether a note is not in the scale. In minor, the raised 6 and 7 are in the scale."""
    assert note.degree
    raised = mode == "minor" and note.degree.alter == 1 and note.degree.steps % 7 in (5, 6)
    return note.degree.alter != 0 and not raised


def _leaps(notes: Sequence[Note], mode: str) -> int:
    """The level of the feature "leaps". It is 3 when two different leaps are hard to sing. It is 1
    when the line does not zigzag and every leap is easy: between two notes of the tonic chord, or
    a fourth to a fifth with one note in that chord. Otherwise it is 2."""
    hard, unfamiliar = set(), False
    for a, b in pairwise(notes):
        size = _size(a, b, mode)
        if a.glide_at is not None or size < _FOURTH:
            continue
        in_chord = sum(n.degree is not None and _in_tonic_chord(n.degree) for n in (a, b))
        unfamiliar |= not (in_chord == 2 or (in_chord == 1 and size <= _FIFTH))
        if size in _HARD or size > _OCTAVE:
            hard.add((a.degree, b.degree))
    if len(hard) > 1:
        return 3
    return 2 if unfamiliar or _zigzags(notes, mode) else 1


def _in_tonic_chord(degree: Degree) -> bool:
    return degree.alter == 0 and degree.steps % 7 in _TONIC_CHORD


def _size(a: Note, b: Note, mode: str) -> int:
    """The size of the interval between two sung notes, in semitones."""
    assert a.degree and b.degree
    return abs(b.degree.semitones(mode) - a.degree.semitones(mode))


def _zigzags(notes: Sequence[Note], mode: str) -> bool:
    """Whether the line changes direction at every note for a while, on more than two pitches."""
    heights = [note.degree.semitones(mode) for note in notes if note.degree]
    run = 2  # how many notes up to the last one compared go up and down by turns
    for last in range(2, len(heights)):
        before, here, after = heights[last - 2 : last + 1]
        turns = (here - before) * (after - here) < 0
        run = run + 1 if turns else 2
        if run >= _ZIGZAG + 2 and len(set(heights[last + 1 - run : last + 1])) > 2:
            return True
    return False


def _length(part: Part, score: Score) -> int:
    """The level of the feature "length" for one part: how many new notes and syllables have to be
    remembered at a time. When the leader sings too, that is one block at a time."""
    led = any(p.notes for p in score.parts if p.voice == LEADER)
    pieces = notes_by_block(part.notes, score) if led else [list(part.notes)]
    return max(map(_level_to_remember, pieces))


def _level_to_remember(notes: Sequence[Note]) -> int:
    """The level of the feature "length" for notes that have to be remembered together."""
    new = _new_notes([note.degree for note in notes if note.degree])
    syllables = {
        re.sub(r"\W", "", syllable.text.casefold())  # without punctuation
        for note in notes
        for syllable in note.syllables
        if syllable
    }
    limits = zip(_MOST_NOTES, _MOST_SYLLABLES, strict=True)
    for level, (most_notes, most_syllables) in enumerate(limits, 1):
        if new <= most_notes and len(syllables) <= most_syllables:
            return level
    return 3


def _new_notes(degrees: Sequence[Degree]) -> int:
    """How many notes are new. A note that repeats the one before does not count as new, and neither
    do the notes of a figure (three or more notes) that has been sung before, on any degree and in
    any rhythm.
    Counting stops when there are more than a line of level 2 may have."""
    notes = [degree for degree, _ in groupby(degrees)]
    places: dict[tuple[object, ...], list[int]] = {}  # where each figure of three notes begins
    new = here = known = 0
    while here < len(notes) and new <= _MOST_NOTES[-1]:
        for start in range(known, here - _SHORTEST_FIGURE + 1):  # figures that end before this note
            places.setdefault(_figure(notes, start, _SHORTEST_FIGURE), []).append(start)
            known = start + 1
        earlier = places.get(_figure(notes, here, _SHORTEST_FIGURE), ())
        length = max((_returns(notes, e, here) for e in islice(earlier, _MOST_PLACES)), default=0)
        new += 0 if length else 1
        here += length or 1
    return new


def _returns(notes: Sequence[Degree], earlier: int, here: int) -> int:
    """The length of the longest figure that begins at the index `earlier` and again at `here`,
    without overlapping. The caller has already found that the shortest figure does."""
    length, most = _SHORTEST_FIGURE, min(here - earlier, len(notes) - here)
    while length < most and _figure(notes, earlier + length - 1, 2) == _figure(
        notes, here + length - 1, 2
    ):
        length += 1
    return length


def _figure(notes: Sequence[Degree], start: int, length: int) -> tuple[object, ...]:
    """The shape of `length` notes from the index `start` on: equal for figures that differ only in
    the degree on which they begin. When fewer notes are left, a value that equals no other."""
    cut = notes[start : start + length]
    if len(cut) < length:
        return (None, start, length)
    return tuple((note.steps - cut[0].steps, note.alter) for note in cut)
