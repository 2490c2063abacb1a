"""Describes a drawing in a few words: its title for people who use a screen reader, and a legend,
which says what a reader must know. (`notes_in_words` writes out all its notes.)
"""

from __future__ import annotations

from chorus_handbook.catalogue import N_, _, listed, ngettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.staves import staves
from chorus_handbook.engraving.verse_lines import sides_of_two_singers
from chorus_handbook.music.score import Score, ScoreFile
from chorus_handbook.pitch import LETTERS, ClefName, Pitch
from chorus_handbook.shared_facts import FACTS

_ALTERATIONS: dict[str, str] = FACTS["pitch"]["alterations"]
#: Names of keys by mode.
_KEYS = {
    "major": N_("{tonic} major"),
    "minor": N_("{tonic} minor"),
    "dorian": N_("{tonic} Dorian"),
    "phrygian": N_("{tonic} Phrygian"),
    "lydian": N_("{tonic} Lydian"),
    "mixolydian": N_("{tonic} Mixolydian"),
}
#: Sentences by the number of octaves from the written line up to the sung one.
_THAN_WRITTEN = {
    -1: N_("{voices}: an octave lower than written."),
    1: N_("{voices}: an octave higher than written."),
}


def key_name(tonic: str, mode: str) -> str:
    """A key in words: "D minor", "F♯ Dorian"."""
    return _(_KEYS[mode], tonic=tonic)


def letter_name(pitch: Pitch) -> str:
    """The name of a pitch without its octave, with no sign that a screen reader might leave out:
    "B flat"."""
    return _(_ALTERATIONS[str(pitch.alter)], letter=LETTERS[pitch.step])


def drawing_title(title: str, score: Score, tonic: Pitch) -> str:
    """What a drawing shows: "Slack water in C major, 4/4"."""
    meter = _("free meter") if score.meter.free else str(score.meter)
    if any(part.sung for part in score.parts):
        key = key_name(letter_name(tonic), score.mode)
        # Translators: Slack water in C major, 4/4
        return _("{title} in {key}, {meter}", title=title, key=key, meter=meter)
    return f"{title}, {meter}"


def legend(score: Score, chorus: Chorus, clef: ClefName = "treble") -> str:
    """What a reader must know to read the drawing; may be empty. In our own notations it says who
    sings in another octave than the staff shows ("Tenor and Bass: an octave lower than written.").
    In a score file it says which words belong to which of two singers on one staff."""
    if score.file:
        return _whose_words(score.file)
    voices: dict[int, list[str]] = {}
    for staff in staves(score, chorus, clef):
        for part in staff.parts if staff.part.sung else ():
            if part.octave != staff.part.octave:
                label = chorus.label_of(part.voice)
                voices.setdefault(part.octave - staff.part.octave, []).append(label)
    return " ".join(than_written(n, listed(labels)) for n, labels in voices.items())


def _whose_words(file: ScoreFile) -> str:
    """Which words belong to which of two singers on one staff; empty if none share a staff."""
    if not any(len(lines) > 1 for _, lines in file.singers):
        return ""
    sides = sides_of_two_singers(file.xml)
    if "above" in sides:
        return _("Words above a staff are its upper voice's, words below it its lower voice's.")
    if sides:
        return _("Of two lines of words, the first is the upper voice's, the second the lower's.")
    return ""


def than_written(octaves: int, voices: str) -> str:
    """The sentence about voices that sing a line `octaves` above the written one (below, if it is
    negative): "Tenor: an octave lower than written."."""
    if octaves in _THAN_WRITTEN:
        # Translators: Tenor and Bass: an octave lower than written.
        return _(_THAN_WRITTEN[octaves], voices=voices)
    if octaves < 0:
        return ngettext(
            "{voices}: {n} octave lower than written.",
            "{voices}: {n} octaves lower than written.",
            -octaves,
            voices=voices,
        )
    return ngettext(
        "{voices}: {n} octave higher than written.",
        "{voices}: {n} octaves higher than written.",
        octaves,
        voices=voices,
    )
