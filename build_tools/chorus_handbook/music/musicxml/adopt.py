"""Prepares a MusicXML document for the handbook, for `handbook import`: checks it, renames its
parts to the voices of the chorus, and writes its mode (major or minor) into it if it names none.
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
from chorus_handbook.problems import in_quotes

if TYPE_CHECKING:
    from lxml.etree import _Element


@dataclass(frozen=True, slots=True)
class Adopted:
    """A document that is ready for the folder scores/.

    document: its text.
    title: its title; may be empty.
    tempo: its tempo in beats a minute; None if it states none.
    remark: a sentence about its mode for the author, if it did not name one; otherwise empty.
    """

    document: bytes
    title: str
    tempo: int | None
    remark: str


def adopt(data: bytes, names: Mapping[str, str]) -> Adopted:
    """Prepare a MusicXML document. `names` maps printed names of parts to the names that they get.
    Raises ScoreFileError, also when no part has one of these printed names."""
    tree, errors = parse_score(data)
    if tree is None:
        raise errors[0]
    from lxml import etree  # late: only handbooks with score files need it

    stripped = partwise(tree.getroot())  # only with what singers need
    for problem in out_of_bounds(stripped, ""):
        raise ScoreFileError(problem.message, problem.hint, problem.code, problem.place)
    heading, _ = read_heading(stripped, "")
    root = partwise(parse(data).getroot())  # as its author wrote it, with its layout
    _rename(root, names)
    remark = ""
    signature = stripped.find("part/measure/attributes/key")
    fifths = signature.findtext("fifths") if signature is not None else None
    if fifths is not None and not heading.named_mode:
        heard = heard_key(etree.tostring(stripped, encoding="unicode"), int(fifths))
        mode = "minor" if heard and heard.minor else "major"
        for tree_root in (root, stripped):
            _name_mode(tree_root, fifths, mode)
        key = read_heading(stripped, "")[0].key
        tonic = str(key.tonic).removesuffix(str(key.tonic.octave))
        why = "judging by its notes" if heard else "because nothing says otherwise"
        remark = f"The score does not name its mode; {why}, it was taken to be {tonic} {mode}."
    document = etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=False)
    return Adopted(document + b"\n", title(root), tempo(stripped, heading.meter), remark)


def _name_mode(root: _Element, fifths: str, mode: str) -> None:
    """Write the mode into every key element that has no mode and the signature `fifths` (a number
    of sharps, negative for flats, as text)."""
    from lxml import etree  # late: only handbooks with score files need it

    for key in root.iterfind("part/measure/attributes/key"):
        if key.findtext("fifths") == fifths and key.find("mode") is None:
            element = etree.Element("mode")
            element.text = mode
            key.insert([child.tag for child in key].index("fifths") + 1, element)


def _rename(root: _Element, names: Mapping[str, str]) -> None:
    """Rename parts: `names` maps their printed names to new ones. Raises ScoreFileError when no
    part has one of these printed names."""
    parts = {part: printed for part, (printed, _) in part_names(root).items()}
    known = in_quotes(" ".join(name.split()) for name in parts.values() if name)
    for old, new in names.items():
        ids = [part for part, printed in parts.items() if _alike(printed, old)]
        if not ids:
            raise ScoreFileError(
                f'No part of the score is called "{old}".',
                f"Write one of its names: {known}." if known else "None of its parts has a name.",
            )
        for element in root.iterfind("part-list/score-part"):
            if element.get("id") in ids:
                for name in element.iterfind("part-name"):
                    name.text = new
                for display in element.findall("part-name-display"):
                    element.remove(display)


def _alike(printed: str, given: str) -> bool:
    """Whether two names differ only in spaces and capital letters."""
    return " ".join(printed.split()).casefold() == " ".join(given.split()).casefold()
