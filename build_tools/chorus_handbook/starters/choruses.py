"""Makes chorus.yml of a new handbook: one of those that are ready, or one written from the lowest
and highest note of each voice."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from chorus_handbook.chorus.file_format import FORMAT
from chorus_handbook.chorus.names import RESERVED
from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.pitch import ClefName, Pitch, named
from chorus_handbook.source.names import as_name
from chorus_handbook.source.text import FORBIDDEN

FOLDER = Path(__file__).parent
#: The choruses for which a chorus.yml is ready, with descriptions, in the order in which the
#: command offers them.
READY = {
    "mixed": "soprano, alto, tenor, bass",
    "upper-voices": "a women's chorus: soprano, mezzo, alto, low alto",
    "lower-voices": "a men's chorus: two tenors, baritone, bass",
    "close-harmony": "a quartet or chorus of tenor, lead, baritone and bass",
    "children": "children in two parts",
    "changing-voices": "young people, some of whose voices are changing",
}
#: The highest impact of exercises for choruses that should begin without strong singing (our
#: choice).
HIGHEST_IMPACT = {"children": 3, "changing-voices": 3}

#: The most voices of a chorus, and the most characters of the name of a voice.
MOST_VOICES = 16
_LONGEST_LABEL = 40
#: How far inside its limits a voice is comfortable, in semitones: common practice.
_MARGIN = 2
#: The smallest range that is accepted, in semitones. A voice with less could sing hardly any
#: exercise (our choice: a fourth).
_NARROWEST = 5
#: A label, then the lowest and the highest note: "Soprano A3 to A5".
_VOICE = re.compile(r"(.+?)[\s:=]+([A-Ga-g][#b]{0,2}-?\d)\s*(?:to|-|–)\s*([A-Ga-g][#b]{0,2}-?\d)")
#: The same with any two words in place of the notes, for a better message.
_NEARLY = re.compile(r"(?:.*\s)?(\S+)\s*(?:\bto\b|-|–)\s*(\S+)")
_NOTE = re.compile(r"[A-Ga-g][#b]{0,2}-?\d")
#: A note or the word "to", which show that a comma between two voices was forgotten.
_NOT_IN_NAME = re.compile(r"(?i)\b[A-G][#b]{0,2}\d|\bto\b")


@dataclass(frozen=True, slots=True)
class VoiceRange:
    """A voice by its label, with its lowest and highest note."""

    label: str
    lowest: Pitch
    highest: Pitch

    @property
    def middle(self) -> float:
        """The middle of its range, as a MIDI number."""
        return (self.lowest.midi + self.highest.midi) / 2


def read_voices(text: str) -> list[VoiceRange]:
    """Read voices with their ranges, the highest first, from a text such as "Soprano A3 to A5, Alto
    F3 to D5" (a semicolon separates voices as well). Raises ValueError with a sentence for the
    user."""
    voices = [_read_voice(part.strip()) for part in re.split("[,;]", text) if part.strip()]
    if not voices:
        raise ValueError(
            'name each voice with its lowest and highest note, such as "Alto F3 to D5"'
        )
    if len(voices) > MOST_VOICES:
        raise ValueError(f"these are {len(voices)} voices; name at most {MOST_VOICES}")
    names: dict[str, str] = {}
    for voice in voices:
        name = as_name(voice.label)
        if name in names:
            raise ValueError(f'"{names[name]}" and "{voice.label}" are the same name; change one')
        names[name] = voice.label
    for upper, lower in pairwise(voices):
        if lower.middle > upper.middle:
            raise ValueError(
                f"{lower.label} ({lower.lowest} to {lower.highest}) lies higher than "
                f"{upper.label} ({upper.lowest} to {upper.highest}), but comes after it; name the "
                "highest voice first, or correct a note"
            )
    return voices


def _read_voice(text: str) -> VoiceRange:
    """Read one voice with its range, such as "Alto F3 to D5". Raises ValueError with a sentence for
    the user."""
    found = _VOICE.fullmatch(text)
    if not found:
        raise ValueError(f'"{text}": {_what_is_wrong(text)}')
    label = " ".join(found[1].split())
    if FORBIDDEN.search(label):
        raise ValueError("delete the invisible characters in the name of a voice")
    if _NOT_IN_NAME.search(label):
        raise ValueError(
            f'"{label}" does not look like the name of a voice; put a comma after each voice, '
            'as in "Soprano A3 to A5, Alto F3 to D5"'
        )
    if not as_name(label):
        raise ValueError(f'"{label}": the name of a voice needs a letter from a to z')
    if as_name(label) in RESERVED:
        raise ValueError(
            f'"{label}" has another meaning at the start of a line of music; choose another name'
        )
    if len(label) > _LONGEST_LABEL:
        raise ValueError(
            f'the name of a voice can have at most {_LONGEST_LABEL} letters; shorten "{label}"'
        )
    lowest, highest = Pitch.parse(found[2]), Pitch.parse(found[3])
    if highest.midi == lowest.midi:
        raise ValueError(
            f"{label}: both notes are the same, {lowest}; "
            'write the lowest and the highest, such as "C4 to G5"'
        )
    if highest.midi < lowest.midi:
        raise ValueError(
            f"{label}: {lowest} is not lower than {highest}; write the lower note first"
        )
    if highest.midi - lowest.midi < _NARROWEST:
        raise ValueError(
            f"{label}: from {lowest} to {highest} is less than a fourth, too little for nearly "
            "every exercise; write the lowest and highest notes that it ever sings"
        )
    return VoiceRange(label, lowest, highest)


def _what_is_wrong(text: str) -> str:
    """Why a text cannot be read as a voice with its range: what to write instead, for the end of a
    message."""
    found = _NEARLY.fullmatch(text)
    for note in found.groups() if found else ():
        if not _NOTE.fullmatch(note):
            return (
                f'"{note}" cannot be read as a note; write a letter from A to G and the octave, '
                'such as "Bb3"'
            )
    if found:
        return 'write the name of the voice before its notes, such as "Alto F3 to D5"'
    return 'write a name and two notes, such as "Alto F3 to D5"'


def ready_chorus(kind: str, name: str) -> str:
    """The text of chorus.yml for one of `READY`, with the chorus's own name."""
    text = (FOLDER / kind / "chorus.yml").read_text("utf-8")
    return text.replace("\nname: Your Chorus\n", f"\nname: {in_yaml(name)}\nformat: {FORMAT}\n")


def own_chorus(voices: Sequence[VoiceRange], name: str) -> str:
    """The text of chorus.yml for these voices, the highest first. Clef and octave follow from
    where a voice lies; upper and lower voices become groups."""
    lines = [
        "# Who sings. The limits are as you gave them; what is comfortable is taken to end two",
        "# semitones inside. Measure your own: docs/writing/chorus.md tells how, in one evening.",
        "",
        f"name: {in_yaml(name)}",
        f"format: {FORMAT}",
        "voices:",
    ]
    for voice, octave in zip(voices, octaves(voices), strict=True):
        margin = min(_MARGIN, (voice.highest.midi - voice.lowest.midi - _NARROWEST) // 2)
        low, high = voice.lowest.midi + margin, voice.highest.midi - margin
        lines += [
            f"  {as_name(voice.label)}:",
            f"    label: {in_yaml(voice.label)}",
            f"    clef: {_clef(voice, octave)}",
            f"    octave: {octave}",
            f"    comfortable: {named(low)} to {named(high)}",
            f"    limits: {voice.lowest} to {voice.highest}",
        ]
    names = [as_name(voice.label) for voice in voices]
    if len(voices) > 1 and not {"upper", "lower"} & {*names}:
        half = (len(names) + 1) // 2
        lines += [
            "groups:",
            f"  upper: [{', '.join(names[:half])}]",
            f"  lower: [{', '.join(names[half:])}]",
        ]
    return "\n".join([*lines, ""])


def octaves(voices: Sequence[VoiceRange]) -> list[int]:
    """For each of these voices, the highest first, the octave in which it sings a line that all
    sing together: 0 as it is written, -1 an octave lower, as men do."""
    found: list[int] = []
    for voice in voices:
        found.append(_octave(voice, below_men=-1 in found))
    return found


def _octave(voice: VoiceRange, *, below_men: bool) -> int:
    """The octave of a voice (see `octaves`). `below_men` says whether a higher voice already sings
    an octave lower; then this one does too, unless it is clearly high.

    It is decided by the lowest note rather than the highest, because tenors and altos share their
    highest notes. The borders are our choice; they agree with the octaves of the ready choruses,
    whose ranges are published (docs/sources.md).
    """
    if voice.lowest.midi >= _LOWEST_OF_ALTOS or voice.middle > _HIGHEST_MIDDLE_OF_TENORS:
        return 0
    if below_men or (voice.lowest.midi <= _SURELY_MEN and voice.middle < _LOWEST_MIDDLE_OF_ALTOS):
        return -1
    return 0 if _UPPER_NAME.search(voice.label) else -1


#: MIDI numbers that tell the voices of men from others: F3 is the lowest note of published altos,
#: and few altos go below D3.
_LOWEST_OF_ALTOS, _SURELY_MEN = 53, 50
_LOWEST_MIDDLE_OF_ALTOS, _HIGHEST_MIDDLE_OF_TENORS = 62, 63
#: Names that decide a doubtful case. A bass or baritone with no lower note than those in doubt is
#: one of a quartet of women.
_UPPER_NAME = re.compile(r"(?i)\b(sopran|mezz|alto|contralto|treble|wom[ae]n|girl|child|bass|bari)")


def _clef(voice: VoiceRange, octave: int) -> ClefName:
    """The usual clef of a voice (common practice), by its octave and its name. If the name does not
    tell, the middle of its range decides; the border, F3, is our choice."""
    if octave == 0:
        return "treble"
    if named_so := re.search(r"(?i)\b(tenor|lead|bass|bari)", voice.label):
        return "treble-8" if named_so[1].casefold() in ("tenor", "lead") else "bass"
    return "treble-8" if voice.middle >= _MIDDLE_OF_TREBLE_8 else "bass"


_MIDDLE_OF_TREBLE_8 = 53
