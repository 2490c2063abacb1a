"""Removes from a MusicXML file what singers do not need, before it is validated.

Notation editors write much about pages, instruments and themselves, some of it invalid. Authors
cannot change that, so it must not be a reason to refuse a score. `tidy` removes what is never
needed. `repair` removes what the schema does not allow, if the music can be sung without it. Errors
that remain after that are errors in the music.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lxml.etree import _Element

#: Elements that are always removed, grouped by the reason.
_NEVER_NEEDED = {
    "about the file, not the music": "identification opus miscellaneous link bookmark",
    "how pages are laid out; the handbook lays out its own": "defaults credit print",
    "what instruments and computers play": "score-instrument midi-device midi-instrument "
    "instrument-change instrument instruments play player swing",
    "how programs follow a performance": "listen listening assess wait other-listen",
    "marks of editors and analysts": "footnote level grouping",
    "parts and scores that are in other files": "part-link for-part concert-score group",
    "letters inside noteheads, which are not drawn": "notehead-text",
    "for players of keyboards and fretted instruments": "figured-bass frame virtual-instrument",
}
#: Elements that stay if the schema allows them and are removed if it does not, grouped by the
#: reason why singers can do without them.
_NOT_NEEDED = {
    "signs beside the notes that tell a singer nothing": "accidental-mark technical ornaments "
    "other-notation arpeggiate non-arpeggiate",
    "signs for instruments": "accordion-registration harp-pedals pedal percussion scordatura "
    "string-mute damp damp-all staff-divide eyeglasses image principal-voice other-direction",
    "chord names for accompanists": "harmony",
    "remarks": "metronome words symbol rehearsal dashes bracket",
    "how notes and staves look": "stem beam notehead staff-details part-symbol measure-style "
    "bar-style directive",
    "how parts are labelled; the handbook labels staves by the chorus": "part-name-display "
    "part-abbreviation part-abbreviation-display group-name group-name-display "
    "group-abbreviation group-abbreviation-display group-symbol group-barline group-time",
    "sound of a computer": "sound",
}
#: Attributes that stay, because without them an element could not be read, or could not be drawn as
#: its author meant. All others lay out a page or tell computers how to play.
_KEPT = frozenset(
    """version number type name location direction times measure implicit symbol slash slashes
    size text print-object placement orientation line-type line-shape line-end bracket show-number
    show-type long spread niente parentheses cautionary editorial font-style font-weight halign
    use-symbols use-dots use-stems filled enclosure abbreviated tempo dacapo dalsegno
    tocoda""".split()
)
#: Elements that keep their id.
_KEPT_IDS = ("score-part", "part")
#: Directions that the engraver aligns by their distance from the staff (`default-y`).
_ALIGNED = ("wedge", "dynamics")
#: A distance in tenths of the space between two staff lines.
_TENTHS = re.compile(r"-?[0-9]{1,4}(\.[0-9]{1,6})?")
#: Attributes without which an element would mean something else, so they stay even if they are
#: invalid, which is then reported. Others are removed if they are invalid.
_NEEDED = frozenset("id number type direction times tempo dacapo dalsegno tocoda".split())
#: Accidentals that the engraver and every singer know. Others are replaced by one of `_PLAIN`.
_ACCIDENTALS = frozenset(
    """sharp natural flat double-sharp sharp-sharp flat-flat natural-sharp natural-flat""".split()
)
#: The usual accidental by the semitones that it raises a note.
_PLAIN = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
#: Elements that mean nothing once they are empty.
_CONTAINERS = ("direction", "direction-type", "notations", "sound", "articulations")

_ALWAYS_REMOVED = frozenset(" ".join(_NEVER_NEEDED.values()).split())
_REMOVED_IF_INVALID = frozenset(" ".join(_NOT_NEEDED.values()).split())
#: The name of the attribute that a message of the schema is about.
_ATTRIBUTE = re.compile(r"attribute '(?:\{[^}]*\})?([^']+)'")


def tidy(root: _Element) -> None:
    """Remove from a score (its root element) what is never needed, and make usual mistakes of
    notation editors valid."""
    for element in list(root.iter("*")):
        name = str(element.tag)
        if name in _ALWAYS_REMOVED:
            _remove(element)
            continue
        for attribute, value in element.attrib.items():
            if not _is_allowed(name, str(attribute), str(value)):
                del element.attrib[attribute]
        if name in _CORRECTIONS:
            _CORRECTIONS[name](element)
    _drop_empty(root)


def repair(wrong: Iterable[tuple[_Element, str]], root: _Element) -> bool:
    """Remove from the score with this root what the schema does not allow, if it can be sung
    without it. `wrong` are elements, each with the message of the schema's error. Returns whether
    anything was removed."""
    changed = False
    for element, message in wrong:
        attribute = _ATTRIBUTE.search(message)
        if attribute and attribute[1] in element.attrib and attribute[1] not in _NEEDED:
            del element.attrib[attribute[1]]
            changed = True
            continue
        around = [element, *element.iterancestors()]
        unneeded = next((outer for outer in around if outer.tag in _REMOVED_IF_INVALID), None)
        if unneeded is not None and around[-1] is root:  # not inside what has been removed already
            _remove(unneeded)
            changed = True
    if changed:
        _drop_empty(root)
    return changed


def _add_number(measure: _Element) -> None:
    """Give a bar its number: some programs leave the numbers out."""
    if not (measure.get("number") or "").strip():
        before = measure.itersiblings("measure", preceding=True)
        measure.set("number", str(sum(1 for _ in before) + 1))


def _correct_ending_number(ending: _Element) -> None:
    """Replace an invalid number where an ending of a repeat is over. The number says nothing new
    there, and it is often wrong."""
    ends = ending.get("type") in ("stop", "discontinue")
    if ends and not re.fullmatch("[1-9][0-9]*(, ?[1-9][0-9]*)*", ending.get("number") or ""):
        ending.set("number", "1")


def _remove_repeated_ties(note: _Element) -> None:
    """Remove repeated ties: programs that scan printed scores write the same tie several times."""
    seen = set()
    for tie in note.findall("tie"):
        if tie.get("type") in seen:
            note.remove(tie)
        seen.add(tie.get("type"))


def _drop_if_empty(element: _Element) -> None:
    """Remove an empty key, meter or clef, which notation editors write where they hide one."""
    if not len(element):
        _remove(element)


def _is_allowed(element: str, attribute: str, value: str) -> bool:
    """Whether an attribute with this value may stay on an element with this name."""
    if attribute == "id":
        return element in _KEPT_IDS
    if attribute == "default-y":
        return element in _ALIGNED and bool(_TENTHS.fullmatch(value.strip()))
    if attribute == "tempo":
        return bool(re.fullmatch(r"[0-9]{1,4}(\.[0-9]+)?", value.strip()))
    return attribute in _KEPT


def _usual_accidental(accidental: _Element) -> None:
    """Replace an unusual accidental with the common one that sounds the same."""
    note = accidental.getparent()
    if note is None or (accidental.text or "").strip() in _ACCIDENTALS:
        return
    alter = (note.findtext("pitch/alter") or "0").strip()
    if re.fullmatch(r"[+-]?[0-2](\.0*)?", alter):
        accidental.text = _PLAIN[int(float(alter))]


#: The functions that make elements valid, by the name of the element.
_CORRECTIONS: dict[str, Callable[[_Element], None]] = {
    "accidental": _usual_accidental,
    "measure": _add_number,
    "ending": _correct_ending_number,
    "note": _remove_repeated_ties,
    **dict.fromkeys(("key", "time", "clef"), _drop_if_empty),
}


def _drop_empty(root: _Element) -> None:
    """Remove elements whose whole contents have been removed."""
    for element in reversed(list(root.iter(*_CONTAINERS))):
        bare = element.tag != "sound" or not element.attrib
        says_nothing = element.tag == "direction" and element.find("direction-type") is None
        if says_nothing or (bare and not len(element) and not (element.text or "").strip()):
            _remove(element)


def _remove(element: _Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)
