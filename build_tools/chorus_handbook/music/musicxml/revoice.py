"""Gives the parts of a MusicXML file to the voices of another chorus.

"Theirs" is the chorus that the music was written for, "ours" the chorus that will sing it.
"""

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
    """The names of the other chorus's voices (`revoicing.theirs`) that have a part in the file.
    Raises ScoreFileError."""
    for name, _ in part_names(_root(data)).values():
        for singers in singers_named(name, revoicing.theirs) or ():
            yield from singers


def revoice(data: bytes, revoicing: Revoicing) -> bytes:
    """A MusicXML document of another chorus, rewritten for our chorus. Each part that a voice of
    the other chorus sings is given to the voice of ours that `revoicing` names: it is renamed,
    moved by octaves if necessary, and put into the clef of its new voice. All other parts, such as
    a leader's or a piano's, stay as they are. Raises ScoreFileError."""
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
    """The root element of a MusicXML document in partwise form. Raises ScoreFileError if the
    document is not valid."""
    tree, errors = parse_score(data)
    if tree is None:
        raise errors[0]
    return partwise(parse(data).getroot())  # as its author wrote it, with its layout


def _new_name(name: str, members: list[tuple[str, ...]], revoicing: Revoicing) -> str:
    """The new name of a part called `name`, which may consist of several names. `members` has the
    voices of the other chorus that each of these means."""
    if len(members) > 1:
        return "\n".join("+".join(revoicing.voices[v] for v in names) for names in members)
    (singers,) = members
    if len(singers) > 1 and "+" in name:
        return " + ".join(revoicing.voices[voice] for voice in singers)
    return revoicing.renamed(_group_or_voice(singers, revoicing))


def _group_or_voice(singers: tuple[str, ...], revoicing: Revoicing) -> str:
    """The name that the other chorus has, in its chorus.yml, for this one voice or for the group of
    these voices; without such a group, their names joined with +."""
    if len(singers) == 1:
        return singers[0]
    theirs = revoicing.theirs
    known = (group for group in theirs.groups if theirs.named(group) == singers)
    return next(known, "+".join(singers))


def _rename(root: _Element, part: str, new: str) -> None:
    """Give the part with this id a new name, and remove other printed forms of its old name."""
    for element in root.iterfind("part-list/score-part"):
        if element.get("id") == part:
            for name in element.iterfind("part-name"):
                name.text = new
            for tag in ("part-name-display", "part-abbreviation", "part-abbreviation-display"):
                for printed in element.findall(tag):
                    element.remove(printed)


def _move(part: _Element, singers: list[str], revoicing: Revoicing) -> None:
    """Move the notes of a part by octaves, and put it into the clef of its new voice, or of the
    lowest of several. `singers` are the voices of the other chorus that sing it. If the part has
    one layer (line of music) for each singer, each layer is moved by its own singer's octaves;
    otherwise all are moved by the first singer's."""
    layers = sorted({_layer(note) for note in part.iter("note") if note.find("pitch") is not None})
    singer_of = dict(zip(layers, singers, strict=True)) if len(layers) == len(singers) else {}
    for note in part.iter("note"):
        octave = note.find("pitch/octave")
        if octave is not None and octave.text:
            voice = singer_of.get(_layer(note), singers[0])
            octave.text = str(int(octave.text) + revoicing.octaves.get(voice, 0))
    new = [revoicing.ours.voices[revoicing.voices[voice]] for voice in singers]
    old = [revoicing.theirs.voices[voice] for voice in singers]
    if [voice.clef for voice in new] != [voice.clef for voice in old]:
        lowest = min(new, key=lambda voice: voice.comfortable.low)
        for clef in part.iter("clef"):
            _write_clef(clef, CLEFS[lowest.clef])


def _layer(note: _Element) -> tuple[int, str]:
    """The layer that a note is in: its staff and its voice in the file."""
    return int(note.findtext("staff") or 1), note.findtext("voice") or "1"


def _write_clef(element: _Element, clef: Clef) -> None:
    """Replace the contents of a `clef` element."""
    from lxml import etree  # late: only handbooks with score files need it

    for child in list(element):
        element.remove(child)
    values = {"sign": clef.sign, "line": clef.line, "clef-octave-change": clef.octave or None}
    for tag, value in values.items():
        if value is not None:
            etree.SubElement(element, tag).text = str(value)
