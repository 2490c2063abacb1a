"""Gives a score file to the voices of another chorus."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from chorus_handbook.music.musicxml.head import part_names
from chorus_handbook.music.musicxml.parse import parse, parse_score
from chorus_handbook.music.musicxml.parts import singers_named
from chorus_handbook.music.musicxml.timewise import partwise
from chorus_handbook.music.revoicing import Revoicing
from chorus_handbook.pitch import CLEFS, Clef

if TYPE_CHECKING:
    from lxml.etree import _Element


def names_in(data: bytes, revoicing: Revoicing) -> Iterator[str]:
    """The names of their voices that have a part. Raises ScoreFileError."""
    for name, _ in part_names(_root(data)).values():
        for singers in singers_named(name, revoicing.theirs) or ():
            yield from singers


def revoice(data: bytes, revoicing: Revoicing) -> bytes:
    """The MusicXML document with the parts of their voices given to ours: renamed, moved by
    octaves where they have to, and in the clef of the new voice. Raises ScoreFileError."""
    from lxml import etree  # late: only handbooks with score files need it

    root = _root(data)
    for part, (name, _) in part_names(root).items():
        members = singers_named(name, revoicing.theirs)
        if not members or any(revoicing.theirs_of(v) is None for names in members for v in names):
            continue
        _rename(root, part, _new_name(name, members, revoicing))
        for element in root.iterfind("part"):
            if element.get("id") == part:
                _move(element, [voice for names in members for voice in names], revoicing)
    document = etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=False)
    return document + b"\n"


def _root(data: bytes) -> _Element:
    tree, errors = parse_score(data)
    if tree is None:
        raise errors[0]
    return partwise(parse(data).getroot())  # the author's own, layout and all


def _new_name(name: str, members: list[tuple[str, ...]], revoicing: Revoicing) -> str:
    if len(members) == 1:
        joined = "+".join(members[0]) if len(members[0]) > 1 and "+" in name else ""
        if joined:
            return " + ".join(revoicing.voices[voice] for voice in members[0])
        return revoicing.renamed(_group_or_voice(members[0], revoicing))
    return "\n".join("+".join(revoicing.voices[v] for v in names) for names in members)


def _group_or_voice(singers: tuple[str, ...], revoicing: Revoicing) -> str:
    """The name in chorus.yml of what a part is called: of one voice, or of a group."""
    if len(singers) == 1:
        return singers[0]
    theirs = revoicing.theirs
    known = (group for group in theirs.groups if theirs.named(group) == singers)
    return next(known, "+".join(singers))


def _rename(root: _Element, part: str, new: str) -> None:
    for element in root.iterfind("part-list/score-part"):
        if element.get("id") == part:
            for name in element.iterfind("part-name"):
                name.text = new
            for tag in ("part-name-display", "part-abbreviation", "part-abbreviation-display"):
                for printed in element.findall(tag):
                    element.remove(printed)


def _move(part: _Element, singers: list[str], revoicing: Revoicing) -> None:
    """Move the notes of a part by octaves, those of each layer by its singer's, and put the part
    into the clef of its new voice, the lowest if there are several."""
    layers = sorted({_layer(note) for note in part.iter("note") if note.find("pitch") is not None})
    own = dict(zip(layers, singers, strict=True)) if len(layers) == len(singers) else {}
    for note in part.iter("note"):
        octave = note.find("pitch/octave")
        if octave is not None and octave.text:
            voice = own.get(_layer(note), singers[0])
            octave.text = str(int(octave.text) + revoicing.octaves.get(voice, 0))
    new = [revoicing.ours.voices[revoicing.voices[voice]] for voice in singers]
    old = [revoicing.theirs.voices[voice] for voice in singers]
    if [voice.clef for voice in new] != [voice.clef for voice in old]:
        lowest = min(new, key=lambda voice: voice.comfortable.low)
        for clef in part.iter("clef"):
            _write_clef(clef, CLEFS[lowest.clef])


def _layer(note: _Element) -> tuple[int, str]:
    return int(note.findtext("staff") or 1), note.findtext("voice") or "1"


def _write_clef(element: _Element, clef: Clef) -> None:
    from lxml import etree  # late: only handbooks with score files need it

    for child in list(element):
        element.remove(child)
    values = {"sign": clef.sign, "line": clef.line, "clef-octave-change": clef.octave or None}
    for tag, value in values.items():
        if value is not None:
            etree.SubElement(element, tag).text = str(value)
