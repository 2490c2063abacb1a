"""Writes a score in one key as MEI, the engraver's input.

MEI is the format of the Music Encoding Initiative, version 5. Everything except key signatures and
pitches is the same in every key, ids included, and is written only once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, zip_longest
from typing import Literal

from chorus_handbook.engraving.accidentals import Accidentals
from chorus_handbook.engraving.marks import marks
from chorus_handbook.engraving.notes import OPEN, OpenPitch, StaffWriter, escaped
from chorus_handbook.engraving.staves import Staff
from chorus_handbook.engraving.written import WrittenScore
from chorus_handbook.music.keys import signature
from chorus_handbook.music.score import LEADER, Degree
from chorus_handbook.pitch import CLEFS, LETTERS, ClefName, Pitch

Names = Literal["full", "short", "none"]

#: The MEI attribute of each bar line.
_BAR_LINES = {"single": "", "dbl": ' right="dbl"', "end": ' right="end"', "invis": ' right="invis"'}

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.1"><meiHead><fileDesc>'
    "<titleStmt><title/></titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>"
)
_TAIL = "</section></score></mdiv></body></music></mei>"


@dataclass(frozen=True, slots=True)
class Show:
    """What is drawn besides the notes: which names before the staves, and whether words and marks.
    `breaks` are the indexes of the measures with which a new system begins."""

    names: Names = "full"
    words: bool = True
    marks: bool = True
    breaks: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class _Outline:
    """A document with gaps where it depends on the key. `texts` are the pieces between the gaps,
    which are the same in every key. The first `signatures` gaps are for key signatures; each later
    gap is for one of the `pitches`, in order."""

    texts: tuple[str, ...]
    signatures: int
    pitches: tuple[OpenPitch, ...]


def write_mei(written: WrittenScore, tonic: Pitch, show: Show = Show()) -> str:
    """The MEI document of the score in the key on `tonic`, with what `show` says."""
    outline, mode = _outline(written, show), written.score.mode
    fifths = max(-7, min(7, signature(tonic, mode)))
    key = f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"
    filled = [key] * outline.signatures
    filled += _pitches(outline.pitches, tonic, mode)
    return "".join(chain.from_iterable(zip_longest(outline.texts, filled, fillvalue="")))


def _pitches(pitches: Sequence[OpenPitch], tonic: Pitch, mode: str) -> Iterator[str]:
    """The MEI attributes of each notehead in one key: its pitch and accidental."""
    staves: dict[int, Accidentals] = {}
    known: dict[tuple[Degree, int], tuple[Pitch, str]] = {}
    for head in pitches:
        place = head.degree, head.octave
        if place not in known:
            pitch = head.degree.in_key(tonic, mode)
            pitch = Pitch(pitch.step, pitch.alter, pitch.octave + head.octave)
            known[place] = pitch, f' pname="{LETTERS[pitch.step].lower()}" oct="{pitch.octave}"'
        pitch, name = known[place]
        accidentals = staves.setdefault(head.staff, Accidentals(signature(tonic, mode)))
        if head.opens:
            accidentals.new_bar()
        yield name + accidentals.attributes(pitch, head.tied)


@lru_cache(maxsize=32)  # an exercise has a few, and is drawn in all its keys one after another
def _outline(written: WrittenScore, show: Show) -> _Outline:
    """Everything of the MEI document that is the same in every key."""
    pitches: list[OpenPitch] = []
    writers = [
        StaffWriter(n, staff, placed, pitches, words=show.words, accents=show.marks)
        for n, (staff, placed) in enumerate(zip(written.staves, written.placed, strict=True))
    ]
    controls = marks(written) if show.marks else [""] * len(written.measures)
    text = [_HEAD, _score_definition(written, show.names), "<section>"]
    for place, measure in enumerate(written.measures):
        if place in show.breaks:
            text.append("<sb/>")
        number = "" if measure.number is None else f' n="{measure.number}"'
        full = measure.length == written.score.meter.bar
        metcon = "" if full else ' metcon="false"'
        text.append(f"<measure{number}{metcon}{_BAR_LINES[measure.bar_line]}>")
        for n, writer in enumerate(writers):
            if not measure.continues:
                writer.new_bar()
            items = writer.measure(written.contents[place][n], place in show.breaks)
            text.append(f'<staff n="{n + 1}"><layer n="1">{items}</layer></staff>')
        text += (controls[place], "</measure>")
    text.append(_TAIL)
    pitched = sum(staff.clef is not None for staff in written.staves)
    return _Outline(tuple("".join(text).split(OPEN)), pitched, tuple(pitches))


def _score_definition(written: WrittenScore, names: Names) -> str:
    """The element of MEI that lists the staves, with meter, clefs, key signatures and names."""
    meter = written.score.meter
    sign = "" if meter.free else f' meter.count="{meter.beats}" meter.unit="{meter.unit}"'
    sign += f' meter.sym="{meter.sign}"' if meter.sign else ""
    leaders: list[str] = []
    chorus: list[str] = []
    for n, staff in enumerate(written.staves, 1):
        lines = 'lines="1"' if staff.clef is None else f'lines="5" keysig="{OPEN}"'
        label = _labels(staff, names, alone=len(written.staves) == 1)
        text = f'<staffDef n="{n}" {lines} {_clef(staff.clef)}>{label}</staffDef>'
        (leaders if staff.part.voice == LEADER else chorus).append(text)
    group = "".join(chorus)
    if len(chorus) > 1:
        group = f'<staffGrp symbol="bracket" bar.thru="false">{group}</staffGrp>'
    inside = "".join(leaders) + group
    return f'<scoreDef{sign}><staffGrp bar.thru="false">{inside}</staffGrp></scoreDef>'


def _labels(staff: Staff, names: Names, alone: bool) -> str:
    """The names before a staff. A single staff has none on later systems."""
    if names == "none":
        return ""
    lines = staff.names if names == "full" else (staff.short,)
    label = "<lb/>".join(escaped(line) for line in lines)
    later = "" if alone else f"<labelAbbr>{escaped(staff.short)}</labelAbbr>"
    return f"<label>{label}</label>{later}"


def _clef(name: ClefName | None) -> str:
    """The MEI attributes of a clef; None is the clef of a line that is only spoken."""
    if name is None:
        return 'clef.shape="perc"'
    sign, line, octave = CLEFS[name]
    lower = ' clef.dis="8" clef.dis.place="below"' if octave else ""
    return f'clef.shape="{sign}" clef.line="{line}"{lower}'
