"""Reads a single `note` element of a MusicXML file: its pitch, its words, and its signs, such as
accents and fermatas."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from chorus_handbook.music.score import Accent, Syllable
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.pitch import LETTERS, Pitch
from chorus_handbook.problems import Place

if TYPE_CHECKING:
    from lxml.etree import _Element

_ACCENTS: dict[str, Accent] = {
    "accent": "accent",
    "strong-accent": "marcato",
    "staccato": "staccato",
    "tenuto": "tenuto",
}
#: Articulations after which a singer breathes.
_BREATHS = ("breath-mark", "caesura")
#: The noteheads that mean "speak" (common practice).
_SPOKEN_HEADS = ("x",)
#: The sign between two syllables that are sung on one note.
_ELISION = "\N{UNDERTIE}"


def read_pitch(note: _Element) -> Pitch | str | None:
    """The written pitch of a note; None for rests and spoken notes; a message (text) when the pitch
    is not supported."""
    pitch = note.find("pitch")
    if pitch is None or is_spoken(note):
        return None
    alter = _alter(pitch.findtext("alter", "0").strip())
    if alter.denominator != 1 or abs(alter) > 2:
        return f"A note altered by {float(alter):g} semitones is not supported."
    step = LETTERS.index(pitch.findtext("step", "C").strip())
    return Pitch(step, int(alter), int(pitch.findtext("octave", "4")))


@lru_cache(maxsize=100)
def _alter(text: str) -> Fraction:
    """The semitones in the text of an `alter` element. Cached, because making a Fraction of a text
    is slow."""
    return Fraction(text)


def is_spoken(note: _Element) -> bool:
    """Whether a note is spoken: it is marked as unpitched, or its head is a cross."""
    if note.find("rest") is not None:
        return False
    return note.find("unpitched") is not None or note.findtext("notehead") in _SPOKEN_HEADS


def written_note(
    element: _Element, place: Place, pitch: Pitch | None, duration: Fraction, measure: int
) -> WrittenNote:
    """The written note, or rest, that a note element stands for, without its words and slurs.
    `pitch` is the pitch that sounds, `duration` its length in quarters, `measure` the index of its
    measure."""
    note = WrittenNote(place, pitch, duration, measure)
    if is_spoken(element):
        note.spoken = "middle"
    if starts_tie(element):
        note.tie = place
    for sign in element.iterfind("notations/*"):
        match sign.tag:
            case "fermata":
                note.fermata = True
            case "articulations":
                _articulate(note, sign)
            case "glissando" | "slide":
                note.glide = note.glide or sign.get("type") == "start"
    return note


def starts_tie(note: _Element) -> bool:
    """Whether a note is tied to the next note."""
    return any(tie.get("type") == "start" for tie in note.iterfind("tie"))


def _articulate(note: WrittenNote, articulations: _Element) -> None:
    """Add the accents and the breath of an `articulations` element to a note."""
    accents = dict.fromkeys(note.accents)
    for sign in articulations:
        if sign.tag in _BREATHS:
            note.breath = note.place
        elif sign.tag in _ACCENTS:
            accents[_ACCENTS[str(sign.tag)]] = None
    note.accents = tuple(accents)


def lyrics(note: _Element) -> Iterator[tuple[str, Syllable | None, bool]]:
    """The words of a note: for each verse its name, the syllable, and whether an extender line
    follows. The syllable is None if only underscores were typed, because the syllable before
    continues."""
    for lyric in note.iterfind("lyric"):
        verse = str(lyric.get("number") or lyric.get("name") or "1")
        texts = [str(text.text or "").strip() for text in lyric.iterfind("text")]
        text = _ELISION.join(" ".join(text.split()) for text in texts if text)
        if not text:  # the end of an extender line, or a sign for laughing, humming ...
            continue
        if not text.strip("_"):
            yield verse, None, True
            continue
        *_, last = ("", *(str(syllabic.text) for syllabic in lyric.iterfind("syllabic")))
        extend = lyric.find("extend")
        held = extend is not None and extend.get("type") != "stop"
        yield verse, Syllable(text, joined=last in ("begin", "middle")), held
