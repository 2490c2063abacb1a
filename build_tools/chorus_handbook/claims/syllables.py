"""Check of the syllables under the notes.

What it checks: that each line of words has a syllable for every note it belongs to. Tied notes
count once, rests not at all, a spoken beat as one note. Source: the rules for `w:` in the ABC
standard 2.1, section 5; that a difference is an error is our choice, because syllables would be
drawn under wrong notes.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import counted, listed, verb
from chorus_handbook.music.score import Score, Verse
from chorus_handbook.problems import Place, Problem


def check_syllables(score: Score) -> Iterator[Problem]:
    """Error `syllable-count` for each line of words that is too short or too long."""
    # Words that belong to several lines are reported once, not once for each voice.
    mismatches: dict[tuple[Verse, int], list[str]] = {}
    # By the place of a line of words: the numbers of notes of the lines of music above it.
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
    difference = abs(verse.slots - notes)
    names = list(dict.fromkeys(voices))
    message = (
        f"There are syllables for {counted(verse.slots, 'note')}, "
        f"but {listed(names)} {verb(names, 'has', 'have')} {notes}: "
        f"{counted(difference, 'syllable')} too {'few' if verse.slots < notes else 'many'}."
    )
    if shared:
        hint = (
            "The voices above these words have different numbers of notes. Give each voice its own "
            "line of words, directly below its notes."
        )
    elif verse.slots < notes:
        hint = (
            "Write _ for each further note that holds a syllable, * for each note without one, "
            "or end the words with ... to hold the last syllable to the end."
        )
    else:
        hint = (
            "Delete syllables or add notes. Each - or _ among the words counts as a note too; a "
            "note held with - has only one syllable."
        )
    return Problem(verse.surplus or verse.place, "syllable-count", message, hint)
