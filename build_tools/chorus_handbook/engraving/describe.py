"""Describes a drawing in words, for readers who use a screen reader: a title, and what each voice
sings.

Voices that sing the same are described once. Long descriptions are cut; the sound has every note.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from chorus_handbook.catalogue import N_, _, listed, ngettext, pgettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.staves import label_of_all, staves
from chorus_handbook.engraving.verse_lines import sides_of_two_singers
from chorus_handbook.music.phrases import words_of
from chorus_handbook.music.score import LEADER, Note, Part, Score, ScoreFile
from chorus_handbook.pitch import LETTERS, ClefName, Pitch

#: The most notes of a line, words of a verse, and lines that a description names.
_MOST_NOTES, _MOST_WORDS, _MOST_STAVES = 16, 8, 6
_ALTERATIONS = {
    -2: N_("{letter} double flat"),
    -1: N_("{letter} flat"),
    0: "{letter}",
    1: N_("{letter} sharp"),
    2: N_("{letter} double sharp"),
}
_KEYS = {
    "major": N_("{tonic} major"),
    "minor": N_("{tonic} minor"),
    "dorian": N_("{tonic} Dorian"),
    "phrygian": N_("{tonic} Phrygian"),
    "lydian": N_("{tonic} Lydian"),
    "mixolydian": N_("{tonic} Mixolydian"),
}
_AS_ANOTHER = {
    -3: N_("{voices}: as {others}, three octaves lower."),
    -2: N_("{voices}: as {others}, two octaves lower."),
    -1: N_("{voices}: as {others}, an octave lower."),
    1: N_("{voices}: as {others}, an octave higher."),
    2: N_("{voices}: as {others}, two octaves higher."),
    3: N_("{voices}: as {others}, three octaves higher."),
}
_THAN_WRITTEN = {
    -1: N_("{voices}: an octave lower than written."),
    1: N_("{voices}: an octave higher than written."),
}


def key_name(tonic: str, mode: str) -> str:
    """A key in words: "D minor", "F♯ Dorian"."""
    return _(_KEYS[mode], tonic=tonic)


def describe(title: str, score: Score, chorus: Chorus, tonic: Pitch) -> tuple[str, str]:
    """The title and the description of a drawing: "Slack water in C major, 4/4" and
    "Soprano, Alto: C4 D4 E4 D4 C4 on “brr”. Tenor: as Soprano, Alto, an octave lower."."""
    meter = _("free meter") if score.meter.free else str(score.meter)
    key = key_name(_(_ALTERATIONS[tonic.alter], letter=LETTERS[tonic.step]), score.mode)
    if any(part.sung for part in score.parts):
        # Translators: Slack water in C major, 4/4
        head = _("{title} in {key}, {meter}", title=title, key=key, meter=meter)
    else:
        head = f"{title}, {meter}"
    described: dict[tuple[str, ...], tuple[str, int]] = {}
    lines = []
    for parts in _groups(score, chorus):
        part, names = parts[0], _names(parts, chorus)
        if part.voice != LEADER and part.shares in described:
            first, octave = described[part.shares]
            lines.append(_as_another(names, first, part.octave - octave))
            continue
        described[part.shares] = names, part.octave
        # Translators: {melody} is such as "C4 D4 E4 on “brr”".
        melody = _melody(part, score.mode, tonic)
        lines.append(_("{voices}: {melody}.", voices=names, melody=melody))
    more = len(lines) - _MOST_STAVES
    if more > 0:
        lines[_MOST_STAVES:] = [ngettext("And {n} more line.", "And {n} more lines.", more)]
    if score.entries:
        # Translators: {entries} is such as "1 Alto, 2 Soprano".
        lines.append(_("Entries of the round: {entries}.", entries=entry_names(score, chorus)))
    return head, " ".join(lines)


def entry_names(score: Score, chorus: Chorus) -> str:
    """Who enters in a round, in turn: "1 Alto, 2 Soprano and Tenor"."""
    names = (listed(map(chorus.label_of, entry.voices)) for entry in score.entries)
    return ", ".join(f"{number} {who}" for number, who in enumerate(names, 1))


def _groups(score: Score, chorus: Chorus) -> list[list[Part]]:
    """Parts that sing the same line in the same octave, or speak the same."""
    groups: dict[object, list[Part]] = {}
    for n, staff in enumerate(staves(score, chorus)):
        for part in staff.parts:
            groups.setdefault((n, part.sung and part.octave), []).append(part)
    return list(groups.values())


def legend(score: Score, chorus: Chorus, clef: ClefName = "treble") -> str:
    """What a reader must know to read the drawing; may be empty. In our own notations it says who
    sings in another octave than the staff shows ("Tenor and Bass: an octave lower than written.").
    In a score file it says which words belong to which of two singers on one staff."""
    if score.file:
        return _whose_words(score.file)
    voices: dict[int, list[str]] = {}
    for staff in staves(score, chorus, clef):
        for part in staff.parts if staff.part.sung else ():
            if part.octave != staff.part.octave:
                label = chorus.label_of(part.voice)
                voices.setdefault(part.octave - staff.part.octave, []).append(label)
    return " ".join(_than_written(n, listed(labels)) for n, labels in voices.items())


def _whose_words(file: ScoreFile) -> str:
    if not any(len(lines) > 1 for _, lines in file.singers):
        return ""
    sides = sides_of_two_singers(file.xml)
    if "above" in sides:
        return _("Words above a staff are its upper voice's, words below it its lower voice's.")
    if sides:
        return _("Of two lines of words, the first is the upper voice's, the second the lower's.")
    return ""


def _than_written(octaves: int, voices: str) -> str:
    if octaves in _THAN_WRITTEN:
        # Translators: Tenor and Bass: an octave lower than written.
        return _(_THAN_WRITTEN[octaves], voices=voices)
    if octaves < 0:
        return ngettext(
            "{voices}: {n} octave lower than written.",
            "{voices}: {n} octaves lower than written.",
            -octaves,
            voices=voices,
        )
    return ngettext(
        "{voices}: {n} octave higher than written.",
        "{voices}: {n} octaves higher than written.",
        octaves,
        voices=voices,
    )


def _names(parts: Sequence[Part], chorus: Chorus) -> str:
    if parts[0].voice == LEADER:
        return chorus.label_of(LEADER)
    if len(parts) > 1 and len(parts) == len(chorus.voices):
        return label_of_all()
    return ", ".join(chorus.voices[part.voice].label for part in parts)


def _as_another(names: str, others: str, octaves: int) -> str:
    if octaves in _AS_ANOTHER:
        return _(_AS_ANOTHER[octaves], voices=names, others=others)
    if octaves < 0:
        return ngettext(
            "{voices}: as {others}, {n} octave lower.",
            "{voices}: as {others}, {n} octaves lower.",
            -octaves,
            voices=names,
            others=others,
        )
    return ngettext(
        "{voices}: as {others}, {n} octave higher.",
        "{voices}: as {others}, {n} octaves higher.",
        octaves,
        voices=names,
        others=others,
    )


def _melody(part: Part, mode: str, tonic: Pitch) -> str:
    if not part.notes:
        return pgettext("a voice", "silent")
    words = _words(part.notes)
    if part.sung:
        sounds = [_sound(note, part.octave, mode, tonic) for note in part.notes]
        text, more = " ".join(sounds[:_MOST_NOTES]), len(sounds) - _MOST_NOTES
        if more > 0:
            text = ngettext(
                "{notes} and {n} more note", "{notes} and {n} more notes", more, notes=text
            )
    else:
        text = ngettext("{n} spoken beat", "{n} spoken beats", len(part.notes))
    # Translators: C4 D4 E4 on “brr”
    return _("{notes} on {words}", notes=text, words=words) if words else text


def _sound(note: Note, octave: int, mode: str, tonic: Pitch) -> str:
    """A note's name with real signs for sharp and flat, or "spoken"; "(G4 with E4 and C4)" where
    the voice divides."""
    if note.degree is None:
        return pgettext("a note", "spoken")
    names = []
    for degree in (note.degree, *note.below):
        pitch = degree.in_key(tonic, mode)
        sign = "♯" * pitch.alter if pitch.alter > 0 else "♭" * -pitch.alter
        names.append(f"{LETTERS[pitch.step]}{sign}{pitch.octave + octave}")
    below = listed(names[1:])
    # Translators: (G4 with E4 and C4), where a voice divides.
    return _("({note} with {below})", note=names[0], below=below) if below else names[0]


def _words(notes: Sequence[Note]) -> str:
    """The words of every verse, in quotation marks."""
    verses = max((len(note.syllables) for note in notes), default=0)
    lines = [list(islice(words_of(notes, verse), _MOST_WORDS + 1)) for verse in range(verses)]
    quoted = []
    for line in lines:
        if line:
            more = " …" if len(line) > _MOST_WORDS else ""
            text = " ".join(line[:_MOST_WORDS]) + more
            quoted.append(pgettext("quoted", "“{words}”", words=text))
    return ", ".join(quoted)
