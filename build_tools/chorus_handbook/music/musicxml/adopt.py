"""Prepares a MusicXML file for the handbook, for `handbook import`: checks and unpacks it, renames
its parts to the voices of the chorus, and writes down its mode.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chorus_handbook.music.analysis import heard_key
from chorus_handbook.music.musicxml.bounds import out_of_bounds
from chorus_handbook.music.musicxml.head import part_names, read_heading, tempo, title
from chorus_handbook.music.musicxml.parse import ScoreFileError, parse, parse_score
from chorus_handbook.music.musicxml.timewise import partwise

if TYPE_CHECKING:
    from lxml.etree import _Element


@dataclass(frozen=True, slots=True)
class Adopted:
    """The document to be saved in the folder scores/, and what it says: its title (may be empty),
    its tempo in beats a minute, and a remark if the file did not name its mode (empty if it
    did)."""

    document: bytes
    title: str
    tempo: int | None
    remark: str


def adopt(data: bytes, names: Mapping[str, str]) -> Adopted:
    """Prepare a MusicXML document. `names` are new names for parts, by their printed names. Raises
    ScoreFileError, also when no part has one of these printed names."""
    tree, errors = parse_score(data)
    if tree is None:
        raise errors[0]
    from lxml import etree  # late: only handbooks with score files need it

    read = partwise(tree.getroot())
    for problem in out_of_bounds(read, ""):
        raise ScoreFileError(problem.message, problem.hint, problem.code, problem.place)
    heading, _ = read_heading(read, "")
    root = partwise(parse(data).getroot())  # the author's own, layout and all
    _rename(root, names)
    remark = ""
    signature = read.find("part/measure/attributes/key")
    fifths = signature.findtext("fifths") if signature is not None else None
    if fifths is not None and not heading.named_mode:
        heard = heard_key(etree.tostring(read, encoding="unicode"), int(fifths))
        mode = "minor" if heard and heard.minor else "major"
        for tree_root in (root, read):
            _name_mode(tree_root, fifths, mode)
        tonic = str(read_heading(read, "")[0].key.tonic)[:-1]
        why = "by its notes" if heard else "for want of anything clearer"
        remark = f"The score does not say its mode; {why} it is taken to be in {tonic} {mode}."
    document = etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=False)
    return Adopted(document + b"\n", title(root), tempo(read, heading.meter), remark)


def _name_mode(root: _Element, fifths: str, mode: str) -> None:
    """Write the mode into every key element that has this signature and no mode."""
    from lxml import etree  # late: only handbooks with score files need it

    for key in root.iterfind("part/measure/attributes/key"):
        if key.findtext("fifths") == fifths and key.find("mode") is None:
            stated = etree.Element("mode")
            stated.text = mode
            key.insert([child.tag for child in key].index("fifths") + 1, stated)


def _rename(root: _Element, names: Mapping[str, str]) -> None:
    parts = {part: printed for part, (printed, _) in part_names(root).items()}
    known = ", ".join(f'"{" ".join(name.split())}"' for name in parts.values() if name) or "none"
    for old, new in names.items():
        found = [part for part, printed in parts.items() if _alike(printed, old)]
        if not found:
            raise ScoreFileError(
                f'No part of the score is called "{old}".', f"Its parts are called: {known}."
            )
        for element in root.iterfind("part-list/score-part"):
            if element.get("id") in found:
                for name in element.iterfind("part-name"):
                    name.text = new
                for display in element.findall("part-name-display"):
                    element.remove(display)


def _alike(printed: str, given: str) -> bool:
    return " ".join(printed.split()).casefold() == " ".join(given.split()).casefold()
