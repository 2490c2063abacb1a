"""Assigns the syllables of `w:` lines to the notes of an ABC voice (section 5).

A `w:` line belongs to the notes since the last `w:` line, on however many lines of music they are;
several `w:` lines in a row are verses. Notes without a `w:` have no syllable. Tied notes count one
by one, as in the standard, so the second of them needs `_` or `*`. Three dots at the end, which
extend the last syllable to the last note, are our own addition.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from chorus_handbook.music.abc.lines import TuneLine
from chorus_handbook.music.lyrics import TO_THE_END, Slot, Underlay, Words, lay_under, read_words
from chorus_handbook.music.score import Syllable
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.problems import Place, Problem

#: Replaces the three dots of "Oh..." while words are read, because "..." is a sign there. These
#: characters are in no text.
_DOTS = "\x01\x02\x03"
#: A letter that is written with a backslash or by its name, such as \\'e or &eacute;.
_MNEMONIC = re.compile(r"\\[^-]{1,2}|&[A-Za-z]{2,8};")
#: A syllable that is put before a line of words, and removed again after reading, so that the line
#: may begin with "_" or "-", which continues a syllable of the line above.
_BEFORE = "x "


@dataclass(slots=True)
class Underlaid:
    """The words of one voice while its lines are read. The notes from `start` to `done` belong to
    the last line of words; `verses` is how many verses they have so far."""

    done: int = 0
    start: int = 0
    verses: int = 0
    problems: list[Problem] = field(default_factory=list)

    def lay(self, line: TuneLine, tones: Sequence[WrittenNote]) -> None:
        """Assign a line of words. `tones` are all notes, without rests, that have been read so
        far."""
        if len(tones) > self.done:
            self.start, self.done, self.verses = self.done, len(tones), 0
        notes = tones[self.start : self.done]
        if not notes:
            self._complain(
                line.place,
                "notation-line",
                "There are no notes above these words.",
                "Write w: below the notes that it belongs to.",
            )
            return
        before = tones[: self.start]
        self._lay(_read(line, self._has_open_syllable(before), self.problems), before, notes)
        self.verses += 1

    def _has_open_syllable(self, before: Sequence[WrittenNote]) -> bool:
        """Whether an earlier note has a syllable in this verse, which this line may continue."""
        return any(len(tone.words) > self.verses and tone.words[self.verses] for tone in before)

    def _lay(
        self, words: Words, before: Sequence[WrittenNote], notes: Sequence[WrittenNote]
    ) -> None:
        slots = list(words.slots)
        first = next((n for n, s in enumerate(slots) if s.kind not in ("extender", "hyphen")), None)
        held = slots[: len(slots) if first is None else first]
        if held and self._extend(before, held):
            slots[: len(held)] = [replace(slot, kind="skip") for slot in held]
        bars = [tone.piece - notes[0].piece for tone in notes]
        under = lay_under(Words(tuple(slots), words.to_the_end), bars)
        # an extender beyond the last note does no harm
        while under.surplus and slots[-1].kind == "extender":
            slots.pop()
            under = lay_under(Words(tuple(slots), words.to_the_end), bars)
        self._check(under, notes)
        for index, (tone, syllable) in enumerate(zip(notes, under.syllables, strict=True)):
            under_note = syllable and _sung(
                syllable, notes[index + 1 : index + 1 + syllable.melisma]
            )
            tone.words += [None] * (self.verses - len(tone.words)) + [under_note]

    def _extend(self, before: Sequence[WrittenNote], held: Sequence[Slot]) -> bool:
        """Extend the last syllable before these notes over further notes, if it lasts to the end of
        the notes before. Returns whether it did."""
        verse = self.verses
        further = 0
        for tone in reversed(before):
            syllable = tone.words[verse] if len(tone.words) > verse else None
            if syllable is None:
                further += not tone.tied
                continue
            if syllable.melisma < further:
                return False
            hyphen = any(slot.kind == "hyphen" for slot in held)
            tone.words[verse] = replace(
                syllable, melisma=syllable.melisma + len(held), joined=syllable.joined or hyphen
            )
            return True
        return False

    def _check(self, under: Underlay, notes: Sequence[WrittenNote]) -> None:
        if under.surplus:
            surplus = under.filled - len(notes)
            self._complain(
                under.surplus,
                "syllable-count",
                f"From here on {surplus} syllable{'s find' if surplus > 1 else ' finds'} no note.",
                "Leave out syllables or add notes. A - after a space and a _ each take a note; "
                "rests take none.",
            )

    def _complain(self, place: Place, code: str, message: str, hint: str) -> None:
        self.problems.append(Problem(place, code, message, hint))


def _sung(syllable: Syllable, held_over: Sequence[WrittenNote]) -> Syllable:
    """A syllable as it is sung: with its three dots put back, and held over the notes `held_over`,
    of which those that are tied to the one before do not count."""
    text = syllable.text
    for sign in _DOTS:
        text = text.replace(sign, ".")
    return replace(syllable, text=text, melisma=sum(not tone.tied for tone in held_over))


def _read(line: TuneLine, held: bool, problems: list[Problem]) -> Words:
    """Read the slots of a `w:` field and of the lines that continue it. `held`: the field may
    continue a syllable of the line above."""
    slots: list[Slot] = []
    to_the_end = False
    for written in line.texts:
        text, place = written.text.rstrip(), written.place
        last = written is line.texts[-1]
        open_end = last and text.split()[-1:] == [TO_THE_END] and (held or len(text.split()) > 1)
        body = text.removesuffix(TO_THE_END) if open_end else text
        problems += _mnemonics(body, place)
        text = body.replace(TO_THE_END, _DOTS) + TO_THE_END * open_end
        prefix = _BEFORE if held or slots else ""
        words, found = read_words(prefix + text, place.at(place.line, place.column - len(prefix)))
        problems += found
        slots += words.slots[1:] if prefix else words.slots
        to_the_end = words.to_the_end
    return Words(tuple(slots), to_the_end)


def _mnemonics(text: str, place: Place) -> Iterator[Problem]:
    """Report letters that are written with a backslash or by their name (section 8.2)."""
    for found in _MNEMONIC.finditer(text):
        yield Problem(
            place.at(place.line, place.column + found.start()),
            "notation-token",
            f"{shown(found[0])} writes a letter by its name; the handbook does not support that.",
            "Write the letter itself, such as é or ö; a hyphen inside a syllable is \\-",
        )
