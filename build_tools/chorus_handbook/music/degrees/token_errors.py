"""Explains what is wrong with a sign (token) of the `degrees` notation, and guesses what was meant.

A token is a run of characters without spaces. Most are beats. Dots divide a beat into equal
*shares*: 1.2 is a beat with two notes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from chorus_handbook.music.score import DYNAMICS
from chorus_handbook.music.wording import LONGEST_SHOWN, shown

#: One share, in the order of its signs: accidentals; a digit, x or -; octave marks; other marks.
SHARE = re.compile(r"([#b]*)([0-9x-])([',]*)([?~^]*)")

BREATHS = ("v", "v?")
HAIRPINS = ("<", ">")

#: Octave marks on one digit; more is a mistake. The widest range among 21 amateur choir singers
#: was 45 semitones, not quite four octaves (Herbst and others 2012, docs/sources.md).
MOST_OCTAVE_MARKS = 4

#: Signs that an editor or a phone puts in place of the plain ones.
_LOOKALIKES = {
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT SINGLE QUOTATION MARK}": "'",
    "\N{PRIME}": "'",
    "\N{ACUTE ACCENT}": "'",
    "\N{GRAVE ACCENT}": "'",
    "\N{SINGLE LOW-9 QUOTATION MARK}": ",",
    "\N{MUSIC SHARP SIGN}": "#",
    "\N{MUSIC FLAT SIGN}": "b",
    "\N{HYPHEN}": "-",
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    "\N{MINUS SIGN}": "-",
    "\N{HORIZONTAL ELLIPSIS}": "...",
    "\N{BROKEN BAR}": "|",
    "\N{MULTIPLICATION SIGN}": "x",
}
#: Notes that are written as letters. (A single b, f or p is none: it is a flat or a dynamic here.)
_LETTER = re.compile(r"[A-H][#b]?[',]*[0-9]?|[acdegh][#b]?[',]*[0-9]?|f[#b]")
_SOLFA = {"do": 1, "re": 2, "mi": 3, "fa": 4, "so": 5, "sol": 5, "la": 6, "ti": 7, "si": 7}
#: A mark that takes no time, straight before a share.
_MARK_BEFORE = re.compile(r"(v\??|pp?|m[pf]|ff?|[<>])(?=[#b]?[0-9x-])")
_ORDER_OF_MARKS = "Write octave marks first, then ?, ~ and ^: 5'?"
_ACCIDENTAL_FIRST = "Write # or b straight before a digit from 1 to 7, as in #4."


@dataclass(frozen=True, slots=True)
class TokenError:
    """Why a token cannot be read, and what to do about it."""

    message: str
    hint: str
    code: str = "notation-token"
    once: bool = False  # reported only once in a line, which is probably all written this way


def bar_error(word: str) -> TokenError | None:
    """What is wrong with a token that contains a | but is more than that. None if it is a bar line
    that only touches something else."""
    if set(word) == {"|"}:
        return TokenError(
            f"{shown(word)} is more than one bar line.",
            "Write one |. For a bar in which a voice is silent, write rests: 0 - - -",
        )
    if set("|:[]").issuperset(word):
        return TokenError(
            f"{shown(word)} is not a sign of this notation.",
            "Write a single |. How often an exercise is sung is a field at the top: passes: 2",
        )
    return None


def share_error(found: re.Match[str]) -> TokenError | None:
    """What is wrong with a share (a note, rest or - within a beat); None if it is fine."""
    sign, head, octave, marks = found.groups()
    if head == found[0] and head not in "89":
        return None  # most shares are a single sign
    digit = head in "1234567"
    text = shown(found[0])
    sound = {"0": "a rest", "x": "a spoken beat", "-": "a -"}.get(head, "a note")
    return _first(
        (
            head in "89",
            f"There is no degree {head}; degrees run from 1 to 7.",
            # 8 and 9 stand for the degrees 1 and 2 an octave higher
            f"Write {chr(ord(head) - 7)}' for the note an octave above {chr(ord(head) - 7)}.",
        ),
        (
            bool(sign) and not digit,
            f"In {text} the accidental stands before {sound}, which has no pitch.",
            _ACCIDENTAL_FIRST,
        ),
        (
            len(sign) > 1,
            f"{text} has more than one accidental.",
            "Write one # or b: it moves the note by a semitone from the mode's own degree.",
        ),
        (
            bool(octave) and head in "0-",
            f"In {text} an octave mark follows {sound}.",
            "Write ' and , after a digit from 1 to 7, or once after x.",
        ),
        (
            "'" in octave and "," in octave,
            f"{text} goes up and down an octave at once.",
            "Keep the ' or the , and delete the other.",
        ),
        (
            head == "x" and len(octave) > 1,
            f"{text} has more than one octave mark.",
            "Speech has three heights: x' high, x middle, x, low.",
        ),
        (
            len(octave) > MOST_OCTAVE_MARKS,
            f"{text} lies more than {MOST_OCTAVE_MARKS} octaves away.",
            "Write the degree nearer to the tonic, or move the voice with octave: in the header.",
        ),
        (
            len(set(marks)) < len(marks),
            f"{text} has the same mark twice.",
            "Write each of ?, ~ and ^ only once.",
        ),
        (
            "?" in marks and not digit,
            f"In {text} the ? stands after {sound}, not after a degree.",
            "Write ? straight after a digit and its octave marks, as in 5'?",
        ),
        (
            "~" in marks and head in "0x",
            f"{text} cannot glide: {sound} has no pitch.",
            "Write ~ after a digit, or after the - from which the glide starts.",
        ),
    )


def no_share_error(word: str, position: int) -> TokenError:
    """What is wrong when there is no note, rest or - at `position` of a token."""
    first = word[position : position + 1]
    plain = _LOOKALIKES.get(first, "")
    small = word.lower()
    mark = _MARK_BEFORE.match(word)
    if _LETTER.fullmatch(word) or _solfa(word):
        return _named_note(word)
    return _first(
        (
            mark is not None,
            f"In {shown(word)} a breath or dynamic touches the note.",
            f"Write a space after {mark[0] if mark else ''}.",
        ),
        (
            bool(word.rstrip(".")) and word.endswith("..."),
            f"In {shown(word)} the three dots touch the note that they hold.",
            "Write a space before the three dots: 1 ...",
        ),
        (
            first in ("", "."),
            f"In {shown(word)} nothing stands before or after a dot.",
            "Write a digit, x or - on both sides of a dot, as in 1.-; three dots with spaces round "
            "them hold a note to the end.",
        ),
        (bool(plain), *_lookalike(word, first, plain)),
        (
            first in ("'", ",", "?", "~", "^"),
            f"In {shown(word)} the {first} follows no note.",
            "Write the mark straight after its note, without a space: 1' 5, 3~ 5? 1^",
        ),
        (
            first in ("#", "b"),
            f"In {shown(word)} no digit follows the accidental.",
            _ACCIDENTAL_FIRST,
        ),
        (
            word != small and small in {*BREATHS, *DYNAMICS, "x", "x'", "x,"},
            f"{shown(word)} must be written in small letters.",
            f"Write {small}.",
        ),
    ) or _unknown(word)


def _solfa(word: str) -> int | None:
    return _SOLFA.get(word.lower().rstrip("',"))


def _named_note(word: str) -> TokenError:
    """The error for a note that is written as a letter or a sol-fa syllable."""
    loud = " For loud, write f." if word == "F" else ""
    if _solfa(word):
        return TokenError(
            f"{shown(word)} is a note by syllable; here notes are numbers.",
            "Write the number of each note in the scale: do re mi fa are 1 2 3 4.",
            once=True,
        )
    return TokenError(
        f"{shown(word)} is a note by letter; here notes are numbers.",
        "Write the number of each note in the scale, 1 to 7, counted from the tonic: C D E F in C "
        f"major are 1 2 3 4.{loud}",
        once=True,
    )


def glued_error(word: str, position: int) -> TokenError:
    """What is wrong when a token goes on at `position`, directly after a share."""
    first, rest = word[position], word[position:]
    plain = _LOOKALIKES.get(first, "")
    return _first(
        (
            rest in ("#", "b"),
            f"In {shown(word)} the accidental stands after the note.",
            _ACCIDENTAL_FIRST,
        ),
        (first in "0123456789x-#b", f"In {shown(word)} several notes run together.", _parted(word)),
        (
            first in "',",
            f"In {shown(word)} the {first} stands after another mark.",
            _ORDER_OF_MARKS,
        ),
        (
            rest in {*BREATHS, *DYNAMICS, *HAIRPINS},
            f"In {shown(word)} a breath or dynamic touches the note.",
            f"Write a space before {shown(rest)[1:-1]}.",
        ),
        (bool(plain), *_lookalike(word, first, plain)),
    ) or _unknown(word)


def _first(*rules: tuple[bool, str, str]) -> TokenError | None:
    """The error of the first rule that is broken. A rule is whether it is broken, the message and
    the hint."""
    return next((TokenError(message, hint) for broken, message, hint in rules if broken), None)


def _parted(word: str) -> str:
    """The hint for notes without spaces between them, such as 12."""
    halves, beats = "1.2", "1 2"
    if len(word) <= LONGEST_SHOWN:
        # Between a share and the start of the next one, where no dot stands yet.
        gap = r"(?<=[0-9x',?^~-])(?=[#b]*[0-9x-])"
        halves, beats = re.sub(gap, ".", word), re.sub(gap, " ", word)
    return f"Write {halves} if they share one beat, or {beats} if each lasts a beat."


def _lookalike(word: str, sign: str, plain: str) -> tuple[str, str]:
    """The message and the hint for a sign that looks like the `plain` one."""
    return (
        f"{shown(word)} has the sign {sign}, which only looks like {plain}",
        f"Retype it as {plain}",
    )


def _unknown(word: str) -> TokenError:
    return TokenError(
        f"{shown(word)} is neither a note nor a sign of this notation.",
        "Notes are the digits 1 to 7, 0 is a rest, x is spoken, - holds the note for another beat, "
        "| ends a bar, v is a breath. Words to sing go on the line below: words: ...",
    )
