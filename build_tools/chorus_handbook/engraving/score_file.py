"""Prepares a MusicXML file from a notation editor for the engraver.

The input is the file's text, the output MusicXML that the engraver can draw. Notes, words and signs
stay as the author wrote them. The page layout (breaks, sizes, fonts, colours, titles) is removed,
because a phone needs another one. Our own breaks and names of voices are added.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from xml.etree import ElementTree as ET

from chorus_handbook.engraving.file_keys import fit_key
from chorus_handbook.engraving.mei import Names
from chorus_handbook.engraving.verse_lines import set_lines

#: Elements of page layout and titles. `identification` is one: it can ask for the file's breaks.
_LAYOUT_ELEMENTS = (
    "work",
    "movement-number",
    "movement-title",
    "identification",
    "defaults",
    "credit",
)
#: Attributes that say how texts and signs look.
_LOOK_ATTRIBUTES = ("font-family", "font-size", "color", "letter-spacing", "line-height", "width")
#: Texts, which an editor may have indented.
_TEXT_ELEMENTS = ("words", "rehearsal", "text", "display-text", "part-name", "part-abbreviation")
#: Elements with formatted names of parts, and with other names of groups of parts.
_PART_NAMES = ("part-name-display", "part-abbreviation", "part-abbreviation-display")
_GROUP_NAMES = ("group-name-display", "group-abbreviation", "group-abbreviation-display")
#: What a thumbnail leaves out of a measure, and of a note.
_NOT_IN_THUMBNAIL = (
    "direction",
    "harmony",
    "figured-bass",
    "print",
    "sound",
    "listening",
    "grouping",
)
_NOT_ON_ITS_NOTES = ("lyric", "play", "listen", "notehead-text")
#: The notations at a note that a thumbnail keeps.
_KEPT_NOTATIONS = ("tied", "tuplet")
#: The sizes of octave lines, and the notes in metronome marks, that the engraver can draw.
_OCTAVE_LINES = frozenset({"8", "15", "22"})
_BEAT_UNITS = frozenset("breve whole half quarter eighth 16th 32nd 64th 128th 256th".split())
#: The id of a measure, made from its index.
_MEASURE = "measure.{}"


class PreparedFile:
    """A MusicXML file that is ready for the engraver. Measures are counted from 0. `labels` are the
    names of its parts: id, full name and short name. `_rows` has the measures of each part."""

    def __init__(self, xml: str, labels: Iterable[tuple[str, str, str]] = ()) -> None:
        self._root = ET.fromstring(xml)
        _remove_children(self._root, _LAYOUT_ELEMENTS)
        for element in self._root.iter():
            for name in _LOOK_ATTRIBUTES:
                element.attrib.pop(name, None)
            if element.tag in _TEXT_ELEMENTS and element.text:
                lines = (" ".join(line.split()) for line in element.text.splitlines())
                element.text = "\n".join(line for line in lines if line)
        self._parts = self._root.findall("part")
        self._rows = [part.findall("measure") for part in self._parts]
        for row in self._rows:
            for n, (measure, first) in enumerate(zip(row, self._rows[0], strict=False)):
                # the engraver aligns the parts by the numbers of their measures
                measure.set("number", first.get("number", ""))
                measure.set("id", _MEASURE.format(n))
                _remove_children(measure, ("print",))
                for details in measure.iterfind("attributes/staff-details"):
                    details.attrib.pop("print-object", None)  # hides empty staves of a page
            if row and row[0].find("attributes") is None:
                attributes = ET.Element("attributes")
                ET.SubElement(attributes, "divisions").text = "1"
                row[0].insert(0, attributes)
            _hide_keys_without_pitch(row)
            _drop_unknown_signs(row)
        for part in self._parts:
            set_lines(part)
        self._drop_shorthand()
        self._drop_empty_parts()
        self._whole = ET.tostring(self._root, encoding="unicode")
        self._labels = {part: (full, short) for part, full, short in labels}

    @property
    def measures(self) -> int:
        return len(self._rows[0]) if self._rows else 0

    @property
    def notes(self) -> int:
        """How many notes there are to draw."""
        return sum(1 for _ in self._root.iter("note"))

    @property
    def short_names(self) -> list[str]:
        """The short name of each part, which stands before all systems but the first. Parts without
        a label are left out."""
        ids = (part.get("id", "") for part in self._parts)
        return [self._labels[name][1] for name in ids if name in self._labels]

    @staticmethod
    def index(measure_id: str) -> int:
        """The index of the measure that has this id in a drawing: 12 for "measure.12"."""
        return int(measure_id.partition(".")[2] or 0)

    def opens(self) -> list[bool]:
        """For each measure, whether a section begins with it: after a double bar line, or where a
        repeat begins or has ended. A first or second ending begins no section."""
        found = [False] * self.measures
        for row in self._rows:
            for n, measure in enumerate(row[: self.measures]):
                for line in measure.findall("barline"):
                    left = line.get("location") == "left"
                    repeat = line.find("repeat")
                    double = line.findtext("bar-style") in ("light-light", "light-heavy")
                    if left and repeat is not None and repeat.get("direction") == "forward":
                        found[n] = True
                    elif not left and (repeat is not None or double) and n + 1 < self.measures:
                        found[n + 1] = True
            for n, measure in enumerate(row[: self.measures]):
                if any(e.get("type") == "start" for e in measure.iterfind("barline/ending")):
                    found[n] = False
        return found

    def text(
        self, names: Names, breaks: Collection[int] = (), moved: tuple[int, int] = (0, 0)
    ) -> str:
        """The whole score as MusicXML. `breaks` are the measures before which a system ends,
        `moved` the steps and semitones by which the engraver will transpose it. Raises
        KeyNotPossibleError."""
        root = ET.fromstring(self._whole)  # quicker than a copy
        fit_key(root, *moved)
        _name_parts(root, names, self._labels)
        for part_number, part in enumerate(root.findall("part")):
            row = part.findall("measure")
            for n in breaks:
                if n < len(row):
                    _end_hairpins(row[n - 1], row[n])
                    if part_number == 0:  # a break in the first part counts for all
                        row[n].insert(0, ET.Element("print", {"new-system": "yes"}))
        return ET.tostring(root, encoding="unicode")

    def opening(self, measures: int) -> str:
        """The first measures of the part that enters first, as MusicXML with notes alone."""
        root = ET.fromstring(self._whole)  # quicker than a copy
        part_list, parts = root.find("part-list"), root.findall("part")
        top = parts[self._first_part(measures)]
        for part in parts:
            if part is not top:
                root.remove(part)
        if part_list is not None:
            for entry in list(part_list):
                if entry.get("id") != top.get("id"):
                    part_list.remove(entry)
        _name_parts(root, "none", {})
        for n, measure in enumerate(top.findall("measure")):
            if n >= measures:
                top.remove(measure)
            else:
                _only_notes(measure)
        return ET.tostring(root, encoding="unicode")

    def _first_part(self, measures: int) -> int:
        """The index of the part that enters first within the first `measures` measures; if several
        enter together, of the top one."""
        entries = (
            (n, part)
            for part, row in enumerate(self._rows)
            for n in range(measures)
            if any(note.find("rest") is None for note in _notes(row, n))
        )
        return min(entries, default=(0, 0))[1]

    def _drop_shorthand(self) -> None:
        """Draw each measure in full instead of abbreviated (as a repeat of the bar before, for
        example), because the engraver would leave out the other parts in such measures. Rests of
        many bars stay where every part rests."""
        silent = [
            all(note.find("rest") is not None for row in self._rows for note in _notes(row, n))
            for n in range(self.measures)
        ]
        for row in self._rows:
            for n, measure in enumerate(row):
                for attributes in measure.findall("attributes"):
                    for style in attributes.findall("measure-style"):
                        bars = _whole_number(style.findtext("multiple-rest"))
                        if not bars or row is not self._rows[0] or not all(silent[n : n + bars]):
                            attributes.remove(style)

    def _drop_empty_parts(self) -> None:
        """Leave out parts that are declared but empty."""
        filled = {part.get("id") for part in self._parts}
        part_list = self._root.find("part-list")
        if part_list is not None:
            for entry in part_list.findall("score-part"):
                if entry.get("id") not in filled:
                    part_list.remove(entry)


def _hide_keys_without_pitch(row: list[ET.Element]) -> None:
    """Hide the key signature of a part without pitches; the engraver would draw one whenever it
    transposes."""
    clefs = [sign.text for measure in row for sign in measure.iterfind("attributes/clef/sign")]
    if not clefs or any(sign != "percussion" for sign in clefs):
        return
    attributes = row[0].find("attributes")
    if attributes is not None and attributes.find("key") is None:
        key = ET.Element("key")
        ET.SubElement(key, "fifths").text = "0"
        before = ("footnote", "level", "divisions")
        place = sum(1 for child in attributes if child.tag in before)
        attributes.insert(place, key)
    for measure in row:
        for key in measure.iterfind("attributes/key"):
            key.set("print-object", "no")


def _drop_unknown_signs(row: list[ET.Element]) -> None:
    """Remove directions that the engraver would draw incompletely: metronome marks with a note that
    it does not know, and octave lines of an unusual size. Without such a line, notes are drawn
    where they sound."""
    for measure in row:
        for direction in measure.findall("direction"):
            for kind in direction.findall("direction-type"):
                units = [(unit.text or "").strip() for unit in kind.iterfind("metronome/beat-unit")]
                shift = kind.find("octave-shift")
                unusual = shift is not None and shift.get("size", "8").strip() not in _OCTAVE_LINES
                if unusual or not set(units) <= _BEAT_UNITS:
                    direction.remove(kind)
            if direction.find("direction-type") is None:
                measure.remove(direction)


def _notes(row: list[ET.Element], n: int) -> list[ET.Element]:
    return row[n].findall("note") if n < len(row) else []


def _whole_number(text: str | None) -> int:
    """The number that a text is; 0 for any other text."""
    return int(text) if text and text.strip().isdigit() else 0


def _remove_children(element: ET.Element, names: Collection[str]) -> None:
    """Remove the children of an element that have these tags."""
    for child in [child for child in element if child.tag in names]:
        element.remove(child)


def _name_parts(root: ET.Element, names: Names, labels: Mapping[str, tuple[str, str]]) -> None:
    """Set the names before each part's first system and its later ones. A single part has none on
    later systems."""
    parts = list(root.iter("score-part"))
    for part in parts:
        full, short = labels.get(part.get("id", ""), ("", ""))
        first = {"full": full, "short": short, "none": ""}[names]
        _remove_children(part, _PART_NAMES)
        name = part.find("part-name")
        if name is None:
            continue
        name.attrib.clear()
        name.text = first
        if names != "none" and short and len(parts) > 1:
            later = ET.Element("part-abbreviation")
            later.text = short
            part.insert(list(part).index(name) + 1, later)
    for group in root.iter("part-group"):
        _remove_children(group, _GROUP_NAMES if names == "full" else (*_GROUP_NAMES, "group-name"))


def _end_hairpins(last: ET.Element, first: ET.Element) -> None:
    """Move the end of a hairpin from before the first note of a system to the end of the system
    before it; otherwise the new system would begin with an empty piece of it."""
    for element in list(first):
        if element.tag in ("note", "backup", "forward"):
            return
        signs = element.findall("direction-type/*") if element.tag == "direction" else []
        if signs and all(sign.tag == "wedge" and sign.get("type") == "stop" for sign in signs):
            first.remove(element)
            last.append(element)


def _only_notes(measure: ET.Element) -> None:
    """Reduce a measure to the notes of its top staff, and to what is needed to read them: clef, key
    signature, meter, ties and tuplets."""
    _remove_children(measure, _NOT_IN_THUMBNAIL)
    for note in measure.findall("note"):
        if (note.findtext("staff") or "1").strip() != "1":
            measure.remove(note)
            continue
        _remove_children(note, _NOT_ON_ITS_NOTES)
        for notations in note.findall("notations"):
            for notation in list(notations):
                if notation.tag not in _KEPT_NOTATIONS:
                    notations.remove(notation)
    for attributes in measure.findall("attributes"):
        _remove_children(attributes, ("staves", "measure-style", "part-symbol"))
        for attribute in list(attributes):
            if attribute.get("number", "1") != "1":
                attributes.remove(attribute)
    for line in measure.findall("barline"):
        _remove_children(line, ("ending", "segno", "coda", "fermata", "wavy-line"))
