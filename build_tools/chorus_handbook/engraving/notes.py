"""Writes the contents of one staff as MEI (the XML that the engraver reads): notes, chords, grace
notes, rests, accents, syllables, beams and tuplets. A placeholder stands for each pitch, because
pitches differ from key to key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chorus_handbook.engraving.beats import Beam, Item, Piece
from chorus_handbook.engraving.staves import Staff
from chorus_handbook.engraving.written import Contents, PlacedEvent
from chorus_handbook.music.score import Accent, Degree, Note, Rest, SpokenHeight

#: Staff positions of spoken notes, counted from the lowest line: on five lines, and on one.
_SPOKEN_ON_FIVE: dict[SpokenHeight, int] = {"high": 6, "middle": 4, "low": 2}
_SPOKEN_ON_ONE: dict[SpokenHeight, int] = {"high": 2, "middle": 0, "low": -2}
#: MEI's names of accents, from the nearest to the note to the farthest.
_ARTICULATIONS: dict[Accent, str] = {
    "staccato": "stacc",
    "tenuto": "ten",
    "accent": "acc",
    "marcato": "marc",
}
#: Accents that say how a note ends: if it is written as tied notes, the last one has them.
_AT_THE_END: frozenset[Accent] = frozenset({"staccato"})
#: Written as a syllable where several extender lines continue into a new system, because the
#: engraver makes room for several lines below a staff only if there are syllables.
_NO_WORD = "\u00a0"
#: The placeholder for a pitch. XML cannot contain this character, so no text is mistaken for it.
OPEN = "\0"
#: Characters that XML cannot contain.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def escaped(text: str) -> str:
    """`text` escaped for XML, without the characters that XML cannot contain."""
    text = _NOT_XML.sub("", text)
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


class ExtenderLines:
    """Decides, note by note, which verses have an extender line on one staff: the line after a
    syllable that is sung over several notes."""

    def __init__(self) -> None:
        self._left: dict[int, int] = {}  # how many notes the line goes on for, by verse

    def at(self, note: Note, first: bool) -> list[int]:
        """The numbers, from 1, of the verses whose extender line reaches this written note. To be
        called once for each written note, in order. `first`: it is not tied to the one before."""
        if not first:
            return sorted(self._left)
        begun = {n: syllable for n, syllable in enumerate(note.syllables, 1) if syllable}
        self._left = {n: left - 1 for n, left in self._left.items() if left > 0 and n not in begun}
        continued = sorted(self._left)
        # a syllable inside a word is followed by hyphens instead
        self._left |= {n: syllable.melisma for n, syllable in begun.items() if not syllable.joined}
        return continued


@dataclass(frozen=True, slots=True)
class OpenPitch:
    """A notehead whose pitch is left open: the number of its staff (from 0), its degree, and the
    octave of its part. `tied` is whether it is tied to a head before it, `opens` whether it is the
    first on its staff in a bar."""

    staff: int
    degree: Degree
    octave: int
    tied: bool
    opens: bool


class StaffWriter:
    """Writes staff number `n`, measure by measure, for every key at once. In place of each pitch it
    writes the sign `OPEN`, and appends an `OpenPitch` to `pitches`; from that the pitch in a key is
    computed later. `words` and `accents` say whether syllables and accents are written."""

    def __init__(
        self,
        n: int,
        staff: Staff,
        placed: Sequence[PlacedEvent],
        pitches: list[OpenPitch],
        *,
        words: bool = True,
        accents: bool = True,
    ) -> None:
        self._n = n
        self._staff = staff
        self._placed = iter(placed)
        self._pitches_written = pitches
        self._words = words
        self._accents = accents
        self._inside_word: set[int] = set()  # verses whose last word is not finished
        self._extenders = ExtenderLines()
        self._system_begins = False
        self._bar_begins = False

    def new_bar(self) -> None:
        """Begin another bar: the next head is the first in it."""
        self._bar_begins = True

    def measure(self, contents: Contents, system_begins: bool = False) -> str:
        """The MEI of the next measure. `system_begins` is whether it is the first of a system."""
        self._system_begins = system_begins
        if contents is None:
            silence = next(self._placed)
            hidden = isinstance(silence.event, Rest) and silence.event.hidden
            return f'<{"mSpace" if hidden else "mRest"} xml:id="{silence.id}"/>'
        return "".join(grace + item for grace, item in map(self._item, contents))

    def _item(self, item: Item) -> tuple[str, str]:
        """The MEI of the grace notes before an item, and of the item. The two are kept apart so
        that grace notes come before a beam or a tuplet: inside, they would be part of the beam."""
        if isinstance(item, Piece):
            return self._piece(item, next(self._placed))
        (graces, first), *others = map(self._item, item.items)
        inside = first + "".join(grace + item for grace, item in others)
        if isinstance(item, Beam):
            return graces, f"<beam>{inside}</beam>"
        return graces, (
            f'<tuplet num="{item.number}" numbase="{item.instead_of}" num.place="above" '
            f'bracket.place="above">{inside}</tuplet>'  # below stand the words
        )

    def _piece(self, piece: Piece, placed: PlacedEvent) -> tuple[str, str]:
        value = f'dur="{4 / piece.value}"' + (' dots="1"' if piece.dots else "")
        note = placed.event
        if not isinstance(note, Note):
            return "", f'<{"space" if note.hidden else "rest"} xml:id="{placed.id}" {value}/>'
        graces = self._graces(note, placed) if placed.first else ""
        if self._accents:
            value += _articulation(note, placed)
        words = self._syllables(note, placed) if self._words else ""
        tie = _tie(placed.first, placed.last)
        pitches = self._pitches(note, placed.first)
        if len(pitches) > 1:
            heads = zip(placed.ids, pitches, strict=True)
            notes = "".join(f'<note xml:id="{name}"{tie}{pitch}/>' for name, pitch in heads)
            return graces, f"<chord {value}>{notes}{words}</chord>"
        head = f'xml:id="{placed.id}" {value}{tie}{pitches[0]}'
        return graces, f"<note {head}>{words}</note>" if words else f"<note {head}/>"

    def _syllables(self, note: Note, placed: PlacedEvent) -> str:
        """The MEI of the syllables and extender lines below a written note."""
        continued = self._extenders.at(note, placed.first)
        words = "".join(self._verses(note, placed.last)) if placed.first else ""
        if self._system_begins and len(continued) > 1:
            words += "".join(
                f'<verse n="{n}"><syl con="u">{_NO_WORD}</syl></verse>' for n in continued
            )
        self._system_begins = False
        return words

    def _verses(self, note: Note, one_piece: bool) -> Iterator[str]:
        """The MEI of each syllable of a note. If the note is not written in `one_piece` but as tied
        notes, an extender line shows that the syllable goes on."""
        for n, syllable in enumerate(note.syllables, 1):
            if syllable is None:
                continue
            begun = n in self._inside_word
            if syllable.joined:
                self._inside_word.add(n)
                follow = f' wordpos="{"m" if begun else "i"}" con="d"'  # con: hyphen (d), line (u)
            else:
                self._inside_word.discard(n)
                extended = syllable.melisma or not one_piece
                follow = (' wordpos="t"' if begun else "") + (' con="u"' if extended else "")
            yield f'<verse n="{n}"><syl{follow}>{escaped(syllable.text)}</syl></verse>'

    def _graces(self, note: Note, placed: PlacedEvent) -> str:
        """The MEI of the grace notes before a note. A single one has a stroke through its flag;
        several have a beam."""
        ids = placed.grace_ids
        look = 'dur="8" stem.mod="1slash"' if len(ids) == 1 else 'dur="16"'
        notes = "".join(
            f'<note xml:id="{name}" {look} grace="unacc"{self._pitch(degree)}/>'
            for name, degree in zip(ids, note.graces, strict=True)
        )
        beamed = f"<beam>{notes}</beam>" if len(ids) > 1 else notes
        return f'<graceGrp grace="unacc">{beamed}</graceGrp>' if notes else ""

    def _pitches(self, note: Note, first: bool) -> list[str]:
        """The MEI attributes that place each head of a note, the highest first: an open pitch, or
        a fixed place on the staff if the note is spoken."""
        if note.degree is None:
            places = _SPOKEN_ON_ONE if self._staff.clef is None else _SPOKEN_ON_FIVE
            stem = ' stem.dir="up"' if self._staff.clef is None else ""
            return [f' loc="{places[note.spoken or "middle"]}" head.shape="x"{stem}']
        easy = ' head.mod="paren"' if note.easy else ""
        return [self._pitch(degree, tied=not first) + easy for degree in (note.degree, *note.below)]

    def _pitch(self, degree: Degree, tied: bool = False) -> str:
        octave, opens = self._staff.part.octave, self._bar_begins
        self._pitches_written.append(OpenPitch(self._n, degree, octave, tied, opens))
        self._bar_begins = False
        return OPEN


def _articulation(note: Note, placed: PlacedEvent) -> str:
    """The MEI attribute for the accents of a note; empty if there are none."""
    shown = [
        name
        for accent, name in _ARTICULATIONS.items()
        if accent in note.accents and (placed.last if accent in _AT_THE_END else placed.first)
    ]
    return f' artic="{" ".join(shown)}"' if shown else ""


def _tie(first: bool, last: bool) -> str:
    """The MEI attribute for ties: i(nitial), m(edial) or t(erminal). `first` and `last` say which
    of the tied notes it is; a note that is both has no tie."""
    if first:
        return "" if last else ' tie="i"'
    return ' tie="t"' if last else ' tie="m"'
