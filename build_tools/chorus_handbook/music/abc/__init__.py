"""Reads music in ABC notation (the ABC standard 2.1, 2011).

A text goes through these modules in turn: `lines` sorts its lines into fields (such as `K:`, the
key) and music; `body` gives each line to the voice it belongs to; `fields` and `keys` read fields;
`voices` says who sings a voice; `tokens` cuts a line of music into signs; `melody` turns signs into
notes (with `pitches`, `rhythm`, `chords`, `decorations`, `slurs` and `barlines`); `words` assigns
syllables. The result, a `Reading` (in `reading`), becomes a score in `music/ensemble.py`, as with
all notations. Two modules do not take part in this: `import_text` is for `handbook import`, and
`revoice` gives the music to the voices of another chorus.

The key in `K:` is not the key that is sung: the exercise's field `keys` says that. With `K:G` and
`keys: G4` the music sounds as written, with `keys: A4` a whole tone higher. Bars, lengths and
syllables that do not fit are reported here, in terms of ABC, not by the later checks in `claims/`.
"""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc.body import read_voices
from chorus_handbook.music.abc.lines import read_tune
from chorus_handbook.music.abc.voices import assign_singers
from chorus_handbook.music.ensemble import Block, Frame, put_together
from chorus_handbook.music.score import Score
from chorus_handbook.music.singers import Singers
from chorus_handbook.problems import Place, Problem


def read_abc(
    notation: Notation, chorus: Chorus, voices: Sequence[str]
) -> tuple[Score | None, list[Problem]]:
    """Read a text in ABC. `voices` are the voices of the exercise, who sing a tune without `V:`.
    Returns the score, or None when there are problems, and the problems in file order."""
    tune, problems = read_tune(notation.text, notation.place)
    reading = read_voices(tune)
    problems += reading.problems
    if any(problem.code == "notation-size" for problem in problems):
        return None, sorted(set(problems))
    singers, found = assign_singers(reading.named, chorus, voices)
    problems += found
    # In lines with a sign that could not be read, and from a change of meter on, the lengths of
    # bars are not known, so they are not reported as wrong.
    unreadable = {p.place.line for p in reading.problems if p.code == "notation-token"}
    if reading.other_meter:
        last = notation.place.line + notation.text.count("\n")
        unreadable |= set(range(reading.other_meter.line, last + 1))
    score, found = put_together(
        [Block([(singers.get(v.id, Singers()), v.written) for v in reading.voices])],
        Frame(reading.key, reading.meter, reading.order),
        chorus,
        unreadable,
    )
    problems += found
    if not reading.voices and not problems:
        problems.append(_nothing_to_sing(notation.place))
    if problems:
        return None, sorted(set(problems))
    return score, []


def _nothing_to_sing(place: Place) -> Problem:
    return Problem(
        place,
        "notation-line",
        "There are no notes here.",
        'Write notes below "K:", such as "CDEF | G4 |", or delete the lines "```" and what is '
        "between them.",
    )
