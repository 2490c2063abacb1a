"""Checks whether verovio can transpose a MusicXML file to a key, and prepares the file for it.

verovio transposes notes, key signatures and chord names, but writes at most three sharps or flats
before a note and two in a chord name, and only major and minor key signatures. Beyond that it draws
something wrong, so these limits are checked first.
"""

from __future__ import annotations

from xml.etree import ElementTree as ET

from chorus_handbook.pitch import LETTERS, Pitch

#: The most sharps or flats that verovio writes before a note, and in a chord name.
_MOST_BEFORE_NOTES, _MOST_IN_NAMES = 3, 2
#: The MusicXML elements of a chord name that contain a letter and its alteration.
_CHORD_LETTERS = (("root", "root-step", "root-alter"), ("bass", "bass-step", "bass-alter"))


class KeyNotPossibleError(ValueError):
    """A file cannot be drawn in a key; the message says why."""


def fit_key(root: ET.Element, steps: int, semitones: int) -> None:
    """Prepare a partwise score for being transposed by this interval. Chord names that the engraver
    could not spell in the new key are removed. Raises KeyNotPossibleError."""
    if (steps, semitones) == (0, 0):
        return
    if root.find(".//key/key-step") is not None:
        raise KeyNotPossibleError(
            "a key signature that is neither major nor minor cannot be moved to another key"
        )
    for pitch in root.iter("pitch"):
        moved = _alter(pitch, "step", "alter", steps, semitones)
        if abs(moved) > _MOST_BEFORE_NOTES:
            raise KeyNotPossibleError("in this key a note needs more than three sharps or flats")
    for measure in root.iterfind("part/measure"):
        for harmony in measure.findall("harmony"):
            letters = [
                _alter(found, step, alter, steps, semitones)
                for name, step, alter in _CHORD_LETTERS
                for found in harmony.iter(name)
            ]
            if any(abs(moved) > _MOST_IN_NAMES for moved in letters):
                measure.remove(harmony)


def _alter(element: ET.Element, step: str, alter: str, steps: int, semitones: int) -> int:
    """The alteration, in semitones, that a note or a letter of a chord name has after transposing;
    0 if its alteration in the file is not a whole number. `step` and `alter` are the names of its
    elements."""
    letter = (element.findtext(step) or "C").strip()
    try:
        altered = float(element.findtext(alter) or 0)
    except ValueError:
        return 0
    if letter not in LETTERS or not altered.is_integer():
        return 0
    return Pitch(LETTERS.index(letter), int(altered), 4).moved(steps, semitones).alter
