"""A written score in one key, as MEI: the engraver's input.

Element names and attributes are those of the Music Encoding Initiative, version 5. Everything but
the pitches is the same in every key, ids included.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from chorus_handbook.engraving.accidentals import Accidentals
from chorus_handbook.engraving.marks import marks
from chorus_handbook.engraving.staves import Staff
from chorus_handbook.engraving.values import Beam, Item, Piece
from chorus_handbook.engraving.written import Contents, Placed, Written
from chorus_handbook.music.keys import signature
from chorus_handbook.music.score import LEADER, Note, SpokenHeight
from chorus_handbook.pitch import LETTERS, Pitch

Names = Literal["full", "short", "none"]

_CLEFS = {
    "treble": 'clef.shape="G" clef.line="2"',
    "treble-8": 'clef.shape="G" clef.line="2" clef.dis="8" clef.dis.place="below"',
    "alto": 'clef.shape="C" clef.line="3"',
    "tenor": 'clef.shape="C" clef.line="4"',
    "bass": 'clef.shape="F" clef.line="4"',
    None: 'clef.shape="perc"',
}
#: Staff positions of spoken notes, counted from the lowest line: on five lines, and on one.
_SPOKEN_ON_FIVE: dict[SpokenHeight, int] = {"high": 6, "middle": 4, "low": 2}
_SPOKEN_ON_ONE: dict[SpokenHeight, int] = {"high": 2, "middle": 0, "low": -2}
_BAR_LINES = {"single": "", "dbl": ' right="dbl"', "end": ' right="end"', "invis": ' right="invis"'}

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.1"><meiHead><fileDesc>'
    "<titleStmt><title/></titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>"
)
_TAIL = "</section></score></mdiv></body></music></mei>"
#: Characters that XML has no way to write.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Show:
    """What is drawn besides the notes. `breaks`: the measures before which a system ends."""

    names: Names = "full"
    words: bool = True
    marks: bool = True
    breaks: frozenset[int] = frozenset()


def write_mei(written: Written, tonic: Pitch, show: Show = Show()) -> str:
    """The score in the key on `tonic`."""
    mode = written.score.mode
    writers = [
        _StaffWriter(staff, placed, tonic, mode, show.words)
        for staff, placed in zip(written.staves, written.placed, strict=True)
    ]
    controls = marks(written) if show.marks else [""] * len(written.measures)
    text = [_HEAD, _score_definition(written, tonic, show.names), "<section>"]
    for place, measure in enumerate(written.measures):
        if place in show.breaks:
            text.append("<sb/>")
        number = "" if measure.number is None else f' n="{measure.number}"'
        full = measure.length == written.score.meter.bar
        metcon = "" if full else ' metcon="false"'
        text.append(f"<measure{number}{metcon}{_BAR_LINES[measure.bar_line]}>")
        for n, writer in enumerate(writers, 1):
            if not measure.continues:
                writer.accidentals.new_bar()
            items = writer.measure(written.contents[place][n - 1])
            text.append(f'<staff n="{n}"><layer n="1">{items}</layer></staff>')
        text += (controls[place], "</measure>")
    text.append(_TAIL)
    return "".join(text)


def escaped(text: str) -> str:
    """Text for XML, without the characters XML cannot hold."""
    text = _NOT_XML.sub("", text)
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _score_definition(written: Written, tonic: Pitch, names: Names) -> str:
    meter = written.score.meter
    sign = "" if meter.free else f' meter.count="{meter.beats}" meter.unit="{meter.unit}"'
    fifths = max(-7, min(7, signature(tonic, written.score.mode)))
    key = f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"
    leaders: list[str] = []
    chorus: list[str] = []
    for n, staff in enumerate(written.staves, 1):
        lines = 'lines="1"' if staff.clef is None else f'lines="5" keysig="{key}"'
        label = _labels(staff, names, alone=len(written.staves) == 1)
        text = f'<staffDef n="{n}" {lines} {_CLEFS[staff.clef]}>{label}</staffDef>'
        (leaders if staff.part.voice == LEADER else chorus).append(text)
    group = "".join(chorus)
    if len(chorus) > 1:
        group = f'<staffGrp symbol="bracket" bar.thru="false">{group}</staffGrp>'
    inside = "".join(leaders) + group
    return f'<scoreDef{sign}><staffGrp bar.thru="false">{inside}</staffGrp></scoreDef>'


def _labels(staff: Staff, names: Names, alone: bool) -> str:
    """The names before a staff; one that stands alone needs none on later systems."""
    if names == "none":
        return ""
    lines = staff.names if names == "full" else (staff.short,)
    label = "<lb/>".join(escaped(line) for line in lines)
    later = "" if alone else f"<labelAbbr>{escaped(staff.short)}</labelAbbr>"
    return f"<label>{label}</label>{later}"


class _StaffWriter:
    """Writes one staff, measure by measure."""

    def __init__(
        self, staff: Staff, placed: Sequence[Placed], tonic: Pitch, mode: str, words: bool
    ) -> None:
        self._staff = staff
        self._placed = iter(placed)
        self._tonic = tonic
        self._mode = mode
        self._words = words
        self._inside_word: set[int] = set()  # verses whose last word is not finished
        self.accidentals = Accidentals(signature(tonic, mode))

    def measure(self, contents: Contents) -> str:
        """The contents of the next measure."""
        if contents is None:
            return f'<mRest xml:id="{next(self._placed).id}"/>'
        return "".join(map(self._item, contents))

    def _item(self, item: Item) -> str:
        if isinstance(item, Piece):
            return self._piece(item, next(self._placed))
        inside = "".join(map(self._item, item.items))
        if isinstance(item, Beam):
            return f"<beam>{inside}</beam>"
        return f'<tuplet num="{item.number}" numbase="{item.instead_of}">{inside}</tuplet>'

    def _piece(self, piece: Piece, placed: Placed) -> str:
        value = f'dur="{4 / piece.value}"' + (' dots="1"' if piece.dots else "")
        note = placed.event
        if not isinstance(note, Note):
            return f'<rest xml:id="{placed.id}" {value}/>'
        tie = _tie(placed.first, placed.last)
        head = f'xml:id="{placed.id}" {value}{tie}{self._pitch(note, placed.first)}'
        words = "".join(self._verses(note, placed.last)) if self._words and placed.first else ""
        return f"<note {head}>{words}</note>" if words else f"<note {head}/>"

    def _verses(self, note: Note, one_piece: bool) -> Iterator[str]:
        """A note's syllables. `one_piece`: no tie carries the note on; else a line shows that the
        syllable is held."""
        for n, syllable in enumerate(note.syllables, 1):
            if syllable is None:
                continue
            begun = n in self._inside_word
            if syllable.joined:
                self._inside_word.add(n)
                follow = f' wordpos="{"m" if begun else "i"}" con="d"'
            else:
                self._inside_word.discard(n)
                held = syllable.held or not one_piece
                follow = (' wordpos="t"' if begun else "") + (' con="u"' if held else "")
            yield f'<verse n="{n}"><syl{follow}>{escaped(syllable.text)}</syl></verse>'

    def _pitch(self, note: Note, first: bool) -> str:
        if note.degree is None:
            places = _SPOKEN_ON_ONE if self._staff.clef is None else _SPOKEN_ON_FIVE
            stem = ' stem.dir="up"' if self._staff.clef is None else ""
            return f' loc="{places[note.spoken or "middle"]}" head.shape="x"{stem}'
        pitch = note.degree.in_key(self._tonic, self._mode)
        pitch = Pitch(pitch.step, pitch.alter, pitch.octave + self._staff.part.octave)
        accidental = self.accidentals.attributes(pitch, tied=not first)
        easy = ' head.mod="paren"' if note.easy else ""
        letter = LETTERS[pitch.step].lower()
        return f' pname="{letter}" oct="{pitch.octave}"{accidental}{easy}'


def _tie(first: bool, last: bool) -> str:
    if first:
        return "" if last else ' tie="i"'
    return ' tie="t"' if last else ' tie="m"'
