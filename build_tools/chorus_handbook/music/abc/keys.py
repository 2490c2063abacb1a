"""Reads the key of an ABC tune, such as `K:Am`: its tonic, its mode, and which notes the key
signature alters (section 3.1.14 of the standard).

A score has one of six modes. A key with another scale (Locrian, or one whose accidentals are
written out) gets the mode with the nearest scale; its notes get accidentals where the two scales
differ, so that they sound the same.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import get_args

from chorus_handbook.music.modes import MODE_NAMES, MODES, ModeName
from chorus_handbook.music.score import Degree
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import REFERENCE_OCTAVE, Key
from chorus_handbook.pitch import LETTERS, Pitch
from chorus_handbook.problems import in_quotes

#: Steps above C in the order in which sharps enter a signature (F C G D A E B); flats in reverse.
_SHARPS = (3, 0, 4, 1, 5, 2, 6)
#: The one mode of ABC that a `Score` does not have: it has five flats more than major.
_LOCRIAN, _LOCRIAN_FIFTHS = "locrian", -5
#: The word after a tonic that means that all accidentals are written out.
_EXPLICIT = "explicit"
#: The words that may follow a tonic; of each, the first three letters are enough.
_WORDS = (*MODE_NAMES, _LOCRIAN, _EXPLICIT)
#: Each mode by its first three letters: its name in a `Score` (None for Locrian), and how many more
#: sharps its signature has than the major key on the same tonic (negative: fewer). A key with
#: "explicit" has no such signature; it counts as major if several modes are equally near.
_MODES: dict[str, tuple[ModeName | None, int]] = {
    **{name[:3]: (mode, MODES[mode].fifths) for name, mode in MODE_NAMES.items()},
    "": ("major", MODES["major"].fifths),
    "m": ("minor", MODES["minor"].fifths),
    _LOCRIAN[:3]: (None, _LOCRIAN_FIFTHS),
    _EXPLICIT[:3]: ("major", 0),
}
#: A tonic, its sharp or flat, and a word after it that may be a mode.
_KEY = re.compile(r"([A-G])([#b♯♭]?)(?:[ \t]*([A-Za-z]+)(?![=\w+-]))?")
#: An accidental that is written out after the key, such as ^f.
_ACCIDENTAL = re.compile(r"[\s,]*(\^\^?|__?|=)([A-Ga-g])(?![\w=])")
#: The semitones by which a sharp or flat after the tonic raises it.
_SIGNS = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}
#: The semitones by which an accidental before a note raises it.
ALTER = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
#: The most sharps or flats in a key signature.
_MOST_SIGNS = 7


class FieldError(Exception):
    """A field cannot be read. `message` and `hint` are for the author."""

    def __init__(self, message: str, hint: str, code: str = "notation-header") -> None:
        super().__init__(message)
        self.message, self.hint, self.code = message, hint, code


def read_key(text: str) -> tuple[Key, str]:
    """The key that the text of a `K:` field names, and the rest of the text. Raises FieldError."""
    text = text.strip()
    # "none" stands for no key, "hp" and "Hp" for the scale of the Highland bagpipe.
    if text.lower().split(maxsplit=1)[:1] in ([], ["none"], ["hp"]):
        raise FieldError(
            f'"K:{text[:4]}" names no tonic, so the handbook cannot move this music to other keys.',
            'Write the tonic and its mode, such as "K:C", "K:Gm" or "K:Ddor".',
        )
    found = _KEY.match(text)
    if not found:
        raise FieldError(
            f"{shown(text)} is not a key.",
            'Write a capital letter, "#" or "b" if need be, and the mode, as in "K:C", "K:Bb", '
            '"K:F#m" or "K:Ddor".',
        )
    letter, sign, word = found.groups()
    end = found.end()
    name = _mode(word or "")
    if name is None:
        if found.start(3) == found.end(2):  # no space before the word: it must be meant as a mode
            raise FieldError(
                f"{shown(word)} is not a mode.",
                f'Write one of {in_quotes(_WORDS[:-1])}. Three letters are enough, as in "K:Ddor".',
            )
        end, name = found.start(3), ""  # the word is not a mode but, for example, a clef
    tonic = Pitch(LETTERS.index(letter), _SIGNS[sign], REFERENCE_OCTAVE)
    stated, fifths = _MODES[name]
    # Maps a letter, as steps above C, to the semitones by which it is altered.
    altered = {} if name == _EXPLICIT[:3] else _signature(tonic.fifths + fifths, found[0])
    rest = text[end:]
    while accidental := _ACCIDENTAL.match(rest):
        altered[LETTERS.index(accidental[2].upper())] = ALTER[accidental[1]]
        rest = rest[accidental.end() :]
    mode = _nearest(tonic, altered, stated)
    return Key(tonic, mode, MappingProxyType({s: a for s, a in altered.items() if a})), rest


def _mode(word: str) -> str | None:
    """The short name in `_MODES` of the mode that a word names; None if it names none. No word
    means major."""
    small = word.lower()
    if word in ("", "m"):
        return word
    return small[:3] if len(small) >= 3 and any(w.startswith(small) for w in _WORDS) else None


def _signature(fifths: int, name: str) -> dict[int, int]:
    """The letters that a signature of `fifths` sharps (negative: flats) alters. Each letter, as
    steps above C, is mapped to 1 if it is raised by a semitone and to -1 if it is lowered. `name`
    is the key as it is written, for the message. Raises FieldError if the signature would have more
    than seven signs."""
    if abs(fifths) > _MOST_SIGNS:
        raise FieldError(
            f'"{name.strip()}" would need {abs(fifths)} {"sharps" if fifths > 0 else "flats"}.',
            'Write the key that sounds the same and has fewer, such as "Bb" for "A#".',
        )
    steps = _SHARPS[:fifths] if fifths >= 0 else _SHARPS[fifths:]
    return dict.fromkeys(steps, 1 if fifths > 0 else -1)


def _nearest(tonic: Pitch, altered: Mapping[int, int], stated: ModeName | None) -> ModeName:
    """The mode whose scale on the tonic differs least from a signature that alters the steps above
    C as `altered` says. If several differ equally, it is the `stated` one."""

    def distance(mode: ModeName) -> tuple[int, bool]:
        scale = [Degree(step).in_key(tonic, mode) for step in range(7)]
        semitones = sum(abs(pitch.alter - altered.get(pitch.step, 0)) for pitch in scale)
        return semitones, mode != stated

    modes: tuple[ModeName, ...] = get_args(ModeName)
    return min(modes, key=distance)
