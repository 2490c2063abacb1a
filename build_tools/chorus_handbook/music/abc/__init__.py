"""`abc`, the ABC standard 2.1 (2011), read into a score.

The text passes through modules that each decide one thing: `lines` sorts lines into fields and
music, `body` leads them to their voices (into a `reading`), `fields` and `keys` read the fields,
`voices` how a voice is written, `tokens` what a sign is, `melody` what it comes to (with `pitches`,
`rhythm`, `marks`, `chords`, `decorations`, `slurs` and `barlines`), `words` which note gets which
syllable. What is written so is put together like any other music: in `written`, `unfold`,
`performance`, `bars`, `singers` and `ensemble`.

Pitches are those that sound. The tonic of `K:`, taken from C4 to B4, is the one that `keys` names:
with `K:G` and `keys: G4` the music sounds as written, with `keys: A4` a tone higher. Bars, lengths
and syllables that do not fit are told here, in the words of ABC, not by the later checks.
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
    """The score of a text, and its problems in file order. `voices` are those of the exercise, who
    sing a tune without `V:`. A text with problems gives None."""
    tune, problems = read_tune(notation.text, notation.place)
    reading = read_voices(tune)
    problems += reading.problems
    if any(problem.code == "notation-size" for problem in problems):
        return None, sorted(set(problems))
    singers, found = assign_singers(reading.named, chorus, voices)
    problems += found
    unsure = {p.place.line for p in reading.problems if p.code == "notation-token"}
    if reading.other_meter:
        last = notation.place.line + notation.text.count("\n")
        unsure |= set(range(reading.other_meter.line, last + 1))
    score, found = put_together(
        [Block([(singers.get(v.id, Singers()), v.written) for v in reading.voices])],
        Frame(reading.key, reading.meter, reading.order),
        chorus,
        unsure,
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
        "Write notes below K:, such as CDEF | G4 |, or leave the fence out.",
    )
