"""Reads a line of words and assigns its syllables to notes, as in the ABC standard 2.1, section 5.

`read_words` turns a line such as "a-men la _ *" into slots: each says what one note gets, a
syllable or something else. `lay_under` assigns the slots to the notes of a line of music; it can be
called for several lines of music with the same words. One sign is our own: three dots at the end
extend the last syllable to the last note.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from chorus_handbook.music.score import Syllable
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

#: The sign, at the end of a line of words, that extends the last syllable to the last note.
TO_THE_END = "..."
#: Signs that Unicode puts in one category with emoji, but that may stand in words: flat and natural
#: signs in note names, the degree sign, and notes that stand for humming.
_SIGNS_IN_WORDS = frozenset("\N{MUSIC FLAT SIGN}\N{MUSIC NATURAL SIGN}°©®♩♪♫♬")


@dataclass(frozen=True, slots=True)
class Slot:
    """What one note gets from a line of words; or a bar line in the words, which takes no note.

    kind: "syllable" for the new syllable `text` (`joined` if a hyphen follows it); "extender" for
        the sign _, with which the syllable before continues; "hyphen" for a - on its own, with
        which the syllable before continues and its word goes on after that; "skip" for *, a note
        without a syllable; "bar" for |, after which the words go on in the next bar.
    """

    kind: Literal["syllable", "extender", "hyphen", "skip", "bar"]
    place: Place
    text: str = ""
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words (lyrics), as slots for notes. `to_the_end` says whether it ended with three
    dots, so that its last syllable is sung to the end."""

    slots: tuple[Slot, ...] = ()
    to_the_end: bool = False


@dataclass(frozen=True, slots=True)
class Underlay:
    """The syllables of a line of music.

    syllables: one for each note; None for a note on which no syllable begins.
    filled: for how many notes there are words.
    surplus: the place of the first slot without a note, if there are more slots than notes.
    """

    syllables: tuple[Syllable | None, ...]
    filled: int
    surplus: Place | None = None


def read_words(text: str, place: Place) -> tuple[Words, list[Problem]]:
    """Read a line of words that begins at `place`. Returns the words and the problems."""
    reader = _WordsReader()
    for word in re.finditer(r"\S+", text):
        reader.take(word[0], place.at(place.line, place.column + word.start()))
    return Words(tuple(reader.slots), reader.end is not None), reader.problems


def picture_problem(text: str, place: Place) -> Problem | None:
    """The problem of a syllable with an emoji or another character that the font cannot show."""
    picture = next((c for c in text if _is_picture(c)), None)
    if picture is None:
        return None
    return Problem(
        place,
        "notation-token",
        f'The syllable {shown(text)} contains "{picture}", a picture or an unknown character, '
        "which cannot be printed under a note.",
        "Write what is sung in letters.",
    )


def _is_picture(character: str) -> bool:
    """Whether a character is an emoji, another picture, or not a character that Unicode defines."""
    category = unicodedata.category(character)
    undefined = category in ("Co", "Cn", "Cs")  # for private use, not assigned, half a character
    return undefined or (category == "So" and character not in _SIGNS_IN_WORDS)


class _WordsReader:
    """Reads the words of a line one after another into `slots`, and collects `problems`."""

    def __init__(self) -> None:
        self.slots: list[Slot] = []
        self.problems: list[Problem] = []
        self.end: Place | None = None  # the place of the three dots
        self._has_syllable = False  # whether there has been one that could continue

    def take(self, word: str, at: Place) -> None:
        """Read the next run of characters without spaces, which begins at `at`."""
        if self.end:
            if word != "|":
                self._complain(
                    self.end,
                    "There is text after the three dots, which must come last.",
                    'Delete what follows the dots, or write "_" for each further note instead of '
                    "the dots.",
                )
                self.end = None
            return
        if word == TO_THE_END:
            self._needs_syllable("...", at)
            self.end = at
            return
        if word.endswith(TO_THE_END):
            self._complain(
                at,
                "There is no space before the three dots.",
                'Put a space before the dots, as in "la ...".',
            )
            return
        self._cut(word, at)

    def _cut(self, word: str, at: Place) -> None:
        """Cut a run of characters without spaces, which begins at `at`, into slots. `text` is the
        syllable that is being read, `start` where it begins, `before` the character before."""
        text, start, before = "", 0, ""
        position = 0
        while position <= len(word):
            sign = word[position : position + 1]  # "" at the end, where the last syllable ends
            if sign in ("", "-", "_", "*", "|"):
                if text:
                    wrong = picture_problem(text, at.at(at.line, at.column + start))
                    if wrong:
                        self.problems.append(wrong)
                    self._add("syllable", at, start, text, joined=sign == "-")
                    self._has_syllable = True
                elif sign == "-":
                    self._hyphen(at, position, after=before)
                if sign == "_":
                    self._needs_syllable("_", at.at(at.line, at.column + position))
                    self._add("extender", at, position)
                elif sign == "*":
                    self._add("skip", at, position)
                elif sign == "|":
                    self._add("bar", at, position)
                text, start = "", position + 1
            elif word.startswith("\\-", position):  # a hyphen that belongs to the syllable
                text += "-"
                position += 1
            else:
                text += " " if sign == "~" else sign  # ~ is a space within a syllable
            before = sign
            position += 1

    def _hyphen(self, at: Place, position: int, after: str) -> None:
        """Read a hyphen that does not directly follow a syllable; it takes a note of its own."""
        here = at.at(at.line, at.column + position)
        if after == "_":
            self._complain(
                here,
                'A "-" stands after a "_" here.',
                'Write the "-" first, as in "a-_men".',
            )
        elif self._needs_syllable("-", here):
            self._add("hyphen", at, position)

    def _needs_syllable(self, sign: str, at: Place) -> bool:
        """Whether there is a syllable that `sign` can continue. If not, this is reported."""
        if not self._has_syllable:
            self._complain(
                at,
                f'There is no syllable before "{sign}" that it could continue.',
                'Begin with a syllable, or write "*" for a note without a syllable.',
            )
        return self._has_syllable

    def _add(
        self,
        kind: Literal["syllable", "extender", "hyphen", "skip", "bar"],
        at: Place,
        offset: int,
        text: str = "",
        *,
        joined: bool = False,
    ) -> None:
        self.slots.append(Slot(kind, at.at(at.line, at.column + offset), text, joined))

    def _complain(self, at: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(at, "notation-token", message, hint))


def lay_under(words: Words, bars: Sequence[int]) -> Underlay:
    """Assign words to notes. `bars` has, for each note, the number of the bar in which it begins.

    A bar line in the words moves on to the next bar, unless the syllables have already reached it.
    """
    notes = len(bars)
    if not words.slots:  # an empty line of words: sung without any
        return Underlay((None,) * notes, notes)
    under = _SyllableAssigner(bars)
    for slot in words.slots:
        if slot.kind == "bar":
            under.next_bar()
        else:
            under.put(slot)
    if words.to_the_end:
        under.extend_to_the_end()
    return Underlay(tuple(under.syllables), under.note, under.surplus)


class _SyllableAssigner:
    """Assigns slots to notes one by one. `note` is the index of the next note."""

    def __init__(self, bars: Sequence[int]) -> None:
        self.bars = bars
        self.syllables: list[Syllable | None] = [None] * len(bars)
        self.note = 0
        self.surplus: Place | None = None
        self._bar = 0
        self._bar_begins = True  # whether no slot has been assigned since the last bar line
        self._current: Syllable | None = None  # the last syllable
        self._at = 0  # the index of the note on which the last syllable begins
        self._hyphen = False  # whether the last syllable is followed by a hyphen on its own

    def next_bar(self) -> None:
        """Go on with the first note of the next bar, unless notes in it have words already."""
        self._bar += 1
        self._bar_begins = True
        while self.note < len(self.bars) and self.bars[self.note] < self._bar:
            self.note += 1

    def put(self, slot: Slot) -> None:
        """Assign a slot, which is not a bar line, to the next note."""
        if self.note < len(self.bars):
            if self._bar_begins:  # skip bars in which no note begins
                self._bar = max(self._bar, self.bars[self.note])
                self._bar_begins = False
            if slot.kind == "syllable":
                self._begin(slot)
            elif slot.kind != "skip":
                self._extend(1, hyphen=slot.kind == "hyphen")
        elif self.surplus is None:
            self.surplus = slot.place
        self.note += 1

    def extend_to_the_end(self) -> None:
        """Extend the last syllable over all notes that are left."""
        further = len(self.bars) - self.note
        if further > 0:
            self._extend(further, hyphen=False)
            self.note += further

    def _begin(self, slot: Slot) -> None:
        """Begin a syllable on the next note. A hyphen before it joins it to the last syllable."""
        if self._hyphen and self._current:
            self._set(replace(self._current, joined=True))
        self._hyphen = False
        self._at = self.note
        self._set(Syllable(slot.text, slot.joined))

    def _extend(self, notes: int, *, hyphen: bool) -> None:
        """Extend the last syllable over the next `notes` notes, unless it has ended earlier because
        a note was skipped. `hyphen` says whether this is done by a hyphen."""
        if self._current is None or self._at + 1 + self._current.melisma != self.note:
            return
        self._set(replace(self._current, melisma=self._current.melisma + notes))
        self._hyphen = self._hyphen or hyphen

    def _set(self, syllable: Syllable) -> None:
        self._current = self.syllables[self._at] = syllable
