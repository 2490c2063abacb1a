"""Check of the number of syllables under the notes.

What it checks: that each line of words has a syllable, or a sign in place of one, for every note of
its line of music. Tied notes count as one note, a spoken beat as one, rests not at all. Source: the
rules for `w:` in the ABC standard 2.1, section 5; that a difference is an error is our choice,
because syllables would be drawn under wrong notes.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import counted, listed, verb
from chorus_handbook.music.score import Score, Verse
from chorus_handbook.problems import Place, Problem


def check_syllables(score: Score) -> Iterator[Problem]:
    """Yields an error `syllable-count` for each line of words (lyrics) that has too few or too many
    syllables for its notes."""
    # By a line of words and a number of notes: the voices that have these words and so many notes.
    # So words that belong to several lines of music are reported once.
    mismatches: dict[tuple[Verse, int], list[str]] = {}
    # By the place of a line of words: the different numbers of notes in its lines of music.
    note_counts: dict[Place, set[int]] = {}
    for block in score.blocks:
        for line in block.lines:
            for verse in line.verses:
                note_counts.setdefault(verse.place, set()).add(line.notes)
                if verse.slots != line.notes:
                    mismatches.setdefault((verse, line.notes), []).extend(line.voices)
    for (verse, notes), voices in mismatches.items():
        yield _mismatch(verse, notes, voices, shared=len(note_counts[verse.place]) > 1)


def _mismatch(verse: Verse, notes: int, voices: list[str], *, shared: bool) -> Problem:
    """The problem of a line of words whose syllables do not fit the `notes` (a number) of these
    voices. `shared` says whether the same words also belong to lines of music with other numbers of
    notes."""
    difference = abs(verse.slots - notes)
    names = list(dict.fromkeys(voices))
    message = (
        f"There are syllables for {counted(verse.slots, 'note')}, "
        f"but {listed(names)} {verb(names, 'has', 'have')} {notes}: "
        f"{counted(difference, 'syllable')} too {'few' if verse.slots < notes else 'many'}."
    )
    if shared:
        hint = (
            "Voices that share these words have different numbers of notes. Give each voice its "
            "own line of words, directly below its notes."
        )
    elif verse.slots < notes:
        hint = (
            'Write "_" for each further note of a syllable, and "*" for each note without a '
            'syllable. Or end the words with "..." to extend the last syllable to the end.'
        )
    else:
        hint = (
            'Delete syllables or add notes. In the line of words, each "_", and each "-" after a '
            "space, stands for a note too. In the line of music, a note that is prolonged or tied "
            'by "-" is one note and takes one syllable.'
        )
    return Problem(verse.surplus or verse.place, "syllable-count", message, hint)
