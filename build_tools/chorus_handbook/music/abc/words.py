"""Assigns the syllables of `w:` lines to the notes of an ABC voice (section 5 of the standard).

A `w:` line belongs to the notes since the `w:` line before, on however many lines of music they
are; several `w:` lines in a row are verses. Notes without a `w:` have no syllable. Each of several
tied notes takes a syllable or a sign, as in the standard, so the second needs `_` or `*`. Three
dots at the end, which extend the last syllable to the last note, are our own addition.

`music/lyrics.py` does most of the work: it turns words into *slots* and lays these under the notes.
A slot is what one note gets: a syllable, or a sign such as `_` or `*`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import takewhile

from chorus_handbook.music.abc.lines import TuneLine
from chorus_handbook.music.lyrics import TO_THE_END, Slot, Underlay, Words, lay_under, read_words
from chorus_handbook.music.score import Syllable
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.problems import Place, Problem

#: Stands for the three dots of "Oh..." while words are read, because "..." is a sign there. Files
#: with these characters are refused, so no author's text has them.
_DOTS = "\x01\x02\x03"
#: A letter that is written with a backslash or by its name: é as \'e or &eacute;.
_MNEMONIC = re.compile(r"\\[^-]{1,2}|&[A-Za-z]{2,8};")
#: A syllable that is put before a line of words, and removed again after reading, so that the line
#: may begin with "_" or "-", which continues a syllable of the line above.
_BEFORE = "x "


@dataclass(slots=True)
class Underlaid:
    """The words (lyrics) of one voice while its lines are read. The notes with the indexes from
    `start` up to `done` are those of the line of words read last; `verses` is how many verses they
    have so far."""

    done: int = 0
    start: int = 0
    verses: int = 0
    problems: list[Problem] = field(default_factory=list)

    def lay(self, line: TuneLine, all_notes: Sequence[WrittenNote]) -> None:
        """Give a line of words to the notes above it. `all_notes` are all notes of the voice,
        without rests, that have been read so far."""
        if len(all_notes) > self.done:
            self.start, self.done, self.verses = self.done, len(all_notes), 0
        notes = all_notes[self.start : self.done]
        if not notes:
            self._complain(
                line.place,
                "notation-line",
                "There are no notes above these words.",
                'Move the line "w:" below the notes that sing the words.',
            )
            return
        before = all_notes[: self.start]
        self._lay(_read(line, self._has_open_syllable(before), self.problems), before, notes)
        self.verses += 1

    def _has_open_syllable(self, before: Sequence[WrittenNote]) -> bool:
        """Whether any of the notes `before` this line has a syllable in this verse, so that the
        line may continue it."""
        return any(len(note.words) > self.verses and note.words[self.verses] for note in before)

    def _lay(
        self, words: Words, before: Sequence[WrittenNote], notes: Sequence[WrittenNote]
    ) -> None:
        """Assign the words of the present verse to `notes`. `before` are the notes above them that
        already have words; their last syllable may go on into `notes`."""
        slots = list(words.slots)
        leading = list(takewhile(lambda slot: slot.kind in ("extender", "hyphen"), slots))
        if leading and self._extend(before, leading):
            slots[: len(leading)] = [replace(slot, kind="skip") for slot in leading]
        bars = [note.piece - notes[0].piece for note in notes]
        under = lay_under(Words(tuple(slots), words.to_the_end), bars)
        # an extender beyond the last note does no harm
        while under.surplus and slots[-1].kind == "extender":
            slots.pop()
            under = lay_under(Words(tuple(slots), words.to_the_end), bars)
        self._check(under, notes)
        for index, (note, syllable) in enumerate(zip(notes, under.syllables, strict=True)):
            under_note = syllable and _sung(
                syllable, notes[index + 1 : index + 1 + syllable.melisma]
            )
            note.words += [None] * (self.verses - len(note.words)) + [under_note]

    def _extend(self, before: Sequence[WrittenNote], slots: Sequence[Slot]) -> bool:
        """Extend the last syllable of the notes `before` over one further note for each of the
        `slots`, if it lasts to the last of these notes. Returns whether it does."""
        verse = self.verses
        further = 0
        for note in reversed(before):
            syllable = note.words[verse] if len(note.words) > verse else None
            if syllable is None:
                further += not note.tied
                continue
            if syllable.melisma < further:
                return False
            hyphen = any(slot.kind == "hyphen" for slot in slots)
            note.words[verse] = replace(
                syllable, melisma=syllable.melisma + len(slots), joined=syllable.joined or hyphen
            )
            return True
        return False

    def _check(self, under: Underlay, notes: Sequence[WrittenNote]) -> None:
        """Report words without notes."""
        if under.surplus:
            surplus = under.filled - len(notes)
            self._complain(
                under.surplus,
                "syllable-count",
                "There are no notes left for the syllables from here on: "
                f"{surplus} {'are' if surplus > 1 else 'is'} too many.",
                'Delete syllables or add notes. A "-" after a space and a "_" each take a note; '
                "rests take no syllables.",
            )

    def _complain(self, place: Place, code: str, message: str, hint: str) -> None:
        self.problems.append(Problem(place, code, message, hint))


def _sung(syllable: Syllable, held_over: Sequence[WrittenNote]) -> Syllable:
    """A syllable as it is sung: with its three dots put back, and lasting over the notes
    `held_over`. A note that is tied to the one before does not count as a further note."""
    text = syllable.text
    for sign in _DOTS:
        text = text.replace(sign, ".")
    return replace(syllable, text=text, melisma=sum(not note.tied for note in held_over))


def _read(line: TuneLine, continues: bool, problems: list[Problem]) -> Words:
    """Read the slots of a `w:` field and of the lines that continue it. `continues` says whether
    there is a syllable of an earlier field that the words may continue."""
    slots: list[Slot] = []
    to_the_end = False
    for written in line.texts:
        text, place = written.text.rstrip(), written.place
        last = written is line.texts[-1]
        words_of_line = text.split()
        ends_with_dots = last and words_of_line[-1:] == [TO_THE_END]
        open_end = ends_with_dots and (continues or len(words_of_line) > 1)
        body = text.removesuffix(TO_THE_END) if open_end else text
        problems += _mnemonics(body, place)
        text = body.replace(TO_THE_END, _DOTS) + TO_THE_END * open_end
        prefix = _BEFORE if continues or slots else ""
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
            f"{shown(found[0])} stands for a letter by its name; the handbook does not support "
            "that.",
            'Write the letter itself, such as "é" or "ö". Write a hyphen inside a syllable as '
            '"\\-".',
        )
