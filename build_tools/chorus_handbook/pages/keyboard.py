"""A small picture of a piano keyboard with the pitch to give and the starting note of each voice.

The pictures for all keys of an exercise show the same octaves, so that nothing jumps when the key
changes. One octave is drawn once in each page, and the pictures refer to it. They are hidden from
screen readers, because the text beside them says the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.voices import Rung

#: Width and height of a white key and of a black key, and the width of an octave, in SVG units.
_WIDTH, _HEIGHT = 12, 44
_BLACK_WIDTH, _BLACK_HEIGHT = 7, 26
_OCTAVE = 7 * _WIDTH
#: From the left edge of an octave to the middle of each of its twelve keys.
_MIDDLES = (6, 12, 18, 24, 30, 42, 48, 54, 60, 66, 72, 78)
#: The black keys of an octave, in semitones above C.
BLACK = frozenset({1, 3, 6, 8, 10})
_MIDDLE_C = 60
#: The note E, in semitones above C, and the width of the white keys from C to E. After E there is
#: no black key, so a keyboard can be cut there.
_E, _C_TO_E = 4, 3 * _WIDTH
#: Half the width of the words "middle C".
_LABEL = 16
#: The height of the part below the keys, with the triangle and the words "middle C".
_BELOW = 22
#: The id of the octave that every picture of a page refers to.
_ID = "hb-octave"
#: How many letters fit on a disc. With more voices on one note, it has the first and a plus sign.
_MOST_LETTERS = 2


def octave() -> Markup:
    """One octave of keys as an SVG symbol."""
    white = "".join(f"M{n * _WIDTH} 0h{_WIDTH}v{_HEIGHT}h-{_WIDTH}z" for n in range(7))
    black = "".join(
        f"M{_MIDDLES[n] - _BLACK_WIDTH / 2:g} 0h{_BLACK_WIDTH}v{_BLACK_HEIGHT}h-{_BLACK_WIDTH}z"
        for n in sorted(BLACK)
    )
    return Markup(
        '<symbol id="{}" overflow="visible"><path class="hb-white" d="{}"/>'
        '<path class="hb-black" d="{}"/></symbol>'
    ).format(_ID, white, black)


@dataclass(frozen=True, slots=True)
class KeyboardPart:
    """The part of a keyboard that is shown: `octaves` octaves from the C with the MIDI number
    `first_c`, cut to the SVG units from `left` to `right`. It begins with a C or an F and ends with
    an E or a B, so that no black key is cut."""

    first_c: int
    octaves: int
    left: int
    right: int


def keyboard_part(rungs: Sequence[Rung]) -> KeyboardPart | None:
    """The part that contains every note to be marked in these keys; None without keys."""
    shown = [midi for rung in rungs for midi in (rung.tonic.midi, *_first_notes(rung).values())]
    if not shown:
        return None
    low, high = min(shown), max(shown)
    first_c, count = low // 12 * 12, high // 12 - low // 12 + 1
    left = _C_TO_E if low % 12 > _E else 0
    right = count * _OCTAVE - (0 if high % 12 > _E else _OCTAVE - _C_TO_E)
    return KeyboardPart(first_c, count, left, right)


def middle_of(midi: int, first_c: int) -> float:
    """The middle of the piano key with the MIDI number `midi`, in SVG units from the left edge of
    the C with the number `first_c`."""
    octaves_up, note = divmod(midi - first_c, 12)
    return octaves_up * _OCTAVE + _MIDDLES[note]


def keyboard(rung: Rung, chorus: Chorus, shown: KeyboardPart) -> Markup:
    """The picture for one key of the ladder: a triangle under the pitch to give, and on each
    starting note a disc with the letters of its voices."""
    first_c, width = shown.first_c, shown.right - shown.left
    keys = Markup().join(
        Markup('<use href="#{}" x="{}"/>').format(_ID, n * _OCTAVE) for n in range(shown.octaves)
    )
    begins: dict[int, list[str]] = {}
    letters = _letters([chorus.voices[name].label for name in rung.voices])
    for letter, midi in zip(letters, _first_notes(rung).values(), strict=True):
        begins.setdefault(midi, []).append(letter)
    marks = Markup().join(_disc(midi, labels, first_c) for midi, labels in begins.items())
    home = middle_of(rung.tonic.midi, first_c)
    marks += Markup('<path class="hb-home" d="M{:g} {}l4 8h-8z"/>').format(home, _HEIGHT + 2)
    at = middle_of(_MIDDLE_C, first_c)
    if shown.left <= at < shown.right:
        marks += Markup('<path class="hb-line" d="M{:g} {}v11"/>').format(at, _HEIGHT)
        at = min(max(at, shown.left + _LABEL), shown.right - _LABEL)
        marks += Markup('<text class="hb-middle-c" x="{:g}" y="{}">{}</text>').format(
            at, _HEIGHT + 19, _("middle C")
        )
    return Markup(
        '<svg class="hb-keyboard" aria-hidden="true" viewBox="{} -1 {} {}" style="--hb-units:{}">'
        "{}{}</svg>"
    ).format(shown.left - 1, width + 2, _HEIGHT + _BELOW + 2, width, keys, marks)


def _letters(labels: Sequence[str]) -> list[str]:
    """The letters on the disc of each voice. That is the first letter of its label. If several
    voices share it, these have two letters: the first letters of two words ("S1" for "Soprano 1"),
    or the first letter and the first one that differs ("Br" and "Bs" for Baritone and Bass)."""
    firsts = [label[0] for label in labels]
    return [
        label[0] if firsts.count(label[0]) == 1 else _two_letters(label, labels) for label in labels
    ]


def _two_letters(label: str, labels: Sequence[str]) -> str:
    """The letters of a voice whose first letter another voice has too; see `_letters`."""
    if " " in label:
        return "".join(word[0] for word in label.split()[:2]).upper()
    others = [other for other in labels if other != label]
    for place in range(1, len(label)):
        if not any(other.startswith(label[: place + 1]) for other in others):
            return label[0] + label[place]
    return label[0]


def _disc(midi: int, voices: Sequence[str], first_c: int) -> Markup:
    """The disc on the key of a note, with the letters of its voices."""
    at = middle_of(midi, first_c)
    height = _BLACK_HEIGHT - 7 if midi % 12 in BLACK else _HEIGHT - 8
    letters = "".join(voices)
    if len(letters) > _MOST_LETTERS:
        letters = voices[0] + "+"
    small = Markup(" class=hb-small" if len(letters) > 1 else "")
    return Markup('<circle cx="{:g}" cy="{}" r="5.5"/><text x="{:g}" y="{:g}"{}>{}</text>').format(
        at, height, at, height + 2.4, small, letters
    )


def _first_notes(rung: Rung) -> Mapping[str, int]:
    return {name: step.first.midi for name, step in rung.voices.items()}
