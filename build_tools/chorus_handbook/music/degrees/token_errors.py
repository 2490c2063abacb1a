"""Explains what is wrong with a sign (token) of the `degrees` notation, and guesses what was meant.

A token is a run of characters without spaces. Most tokens are beats. Dots divide a beat into equal
*shares*: 1.2 is a beat with two notes. `tokens` reads tokens, and calls these functions for those
that it cannot read.
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

#: The most octave marks on one digit; more must be a mistake. The widest range among 21 amateur
#: choir singers was 45 semitones, not quite four octaves (Herbst and others 2012, docs/sources.md).
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
#: Notes that are written as letters, such as C, F# or a'. (A b, f or p alone is something else in
#: this notation: a flat or a dynamic.)
_LETTER = re.compile(r"[A-H][#b]?[',]*[0-9]?|[acdegh][#b]?[',]*[0-9]?|f[#b]")
_SOLFA = {"do": 1, "re": 2, "mi": 3, "fa": 4, "so": 5, "sol": 5, "la": 6, "ti": 7, "si": 7}
#: A breath, dynamic or hairpin that touches the share after it.
_MARK_BEFORE = re.compile(r"(v\??|pp?|m[pf]|ff?|[<>])(?=[#b]?[0-9x-])")
_ORDER_OF_MARKS = 'Write octave marks first, then "?", "~" and "^", as in "5\'?".'
_ACCIDENTAL_FIRST = 'Write "#" or "b" directly before a digit from 1 to 7, as in "#4".'


@dataclass(frozen=True, slots=True)
class TokenError:
    """Why a token cannot be read, and what to do about it."""

    message: str
    hint: str
    code: str = "notation-token"
    once: bool = False  # to be reported only once in a line: probably all of it is written this way


def bar_error(word: str) -> TokenError | None:
    """What is wrong with a token that contains "|" but is not a bar line. None if it is a bar line
    that only lacks a space before or after it."""
    if set(word) == {"|"}:
        return TokenError(
            f"{shown(word)} is more than one bar line.",
            'Write one "|". For a bar in which a voice is silent, write a rest: "0 - - -".',
        )
    if set("|:[]").issuperset(word):  # a repeat sign or a final bar line
        return TokenError(
            f"{shown(word)} is not a sign of this notation.",
            'Write a single "|". To repeat the exercise, write how often it is sung at the top of '
            'the file, as in "passes: 2".',
        )
    return None


def share_error(found: re.Match[str]) -> TokenError | None:
    """What is wrong with a share (a note, rest or "-" within a beat), which `SHARE` has matched;
    None if it is fine."""
    sign, head, octave, marks = found.groups()
    if head == found[0] and head not in "89":
        return None  # most shares are a single sign
    digit = head in "1234567"
    text = shown(found[0])
    sound = {"0": "a rest", "x": "a spoken beat", "-": 'a "-"'}.get(head, "a note")
    octave_lower = int(head) - 7 if head in "89" else 0  # 8 and 9 are 1 and 2 an octave higher
    return _first(
        (
            head in "89",
            f"There is no degree {head}; degrees run from 1 to 7.",
            f'Write "{octave_lower}\'" for the note an octave above {octave_lower}.',
        ),
        (
            bool(sign) and not digit,
            f"In {text} the accidental stands before {sound}, which has no pitch.",
            _ACCIDENTAL_FIRST,
        ),
        (
            len(sign) > 1,
            f"{text} has more than one accidental.",
            'Write one "#" or "b": it raises or lowers the degree of the mode by a semitone.',
        ),
        (
            bool(octave) and head in "0-",
            f"In {text} an octave mark follows {sound}.",
            'Write "\'" or "," only after a digit from 1 to 7 or after "x".',
        ),
        (
            "'" in octave and "," in octave,
            f"{text} goes up and down an octave at once.",
            'Delete the "\'" or the ",".',
        ),
        (
            head == "x" and len(octave) > 1,
            f"{text} has more than one octave mark.",
            'Write "x\'" for high, "x" for middle, or "x," for low.',
        ),
        (
            len(octave) > MOST_OCTAVE_MARKS,
            f"{text} is more than {MOST_OCTAVE_MARKS} octaves away from the tonic.",
            'Write the degree nearer to the tonic, or move the voice with "octave:" in the header.',
        ),
        (
            len(set(marks)) < len(marks),
            f"{text} has the same mark twice.",
            'Write each of "?", "~" and "^" only once.',
        ),
        (
            "?" in marks and not digit,
            f'In {text} the "?" stands after {sound}, not after a degree.',
            'Write "?" directly after a digit and its octave marks, as in "5\'?".',
        ),
        (
            "~" in marks and head in "0x",
            f"{text} cannot glide: {sound} has no pitch.",
            'Write "~" after a digit, or after the "-" at which the glide starts.',
        ),
    )


def no_share_error(word: str, position: int) -> TokenError:
    """What is wrong when there is no note, rest or "-" at the index `position` of a token."""
    first = word[position : position + 1]
    plain = _LOOKALIKES.get(first, "")
    small = word.lower()
    mark = _MARK_BEFORE.match(word)
    if _LETTER.fullmatch(word) or _solfa(word):
        return _named_note(word)
    return _first(
        (
            mark is not None,
            f"In {shown(word)} there is no space between the note and the breath or dynamic.",
            f'Write a space after "{mark[0] if mark else ""}".',
        ),
        (
            bool(word.rstrip(".")) and word.endswith("..."),
            f"In {shown(word)} there is no space between the note and the three dots.",
            'Write a space before the three dots, as in "1 ...".',
        ),
        (
            first in ("", "."),
            f"In {shown(word)} nothing stands before or after a dot.",
            'Write a digit, "x" or "-" on both sides of a dot, as in "1.-". To prolong a note to '
            "the end of the block, write three dots with spaces around them.",
        ),
        (bool(plain), *_lookalike(word, first, plain)),
        (
            first in ("'", ",", "?", "~", "^"),
            f'In {shown(word)} there is no note before the "{first}".',
            'Write the mark directly after its note, without a space, as in "1\'" or "3~".',
        ),
        (
            first in ("#", "b"),
            f"In {shown(word)} no digit follows the accidental.",
            _ACCIDENTAL_FIRST,
        ),
        (
            word != small and small in {*BREATHS, *DYNAMICS, "x", "x'", "x,"},
            f"{shown(word)} must be written in small letters.",
            f'Write "{small}".',
        ),
    ) or _unknown(word)


def _solfa(word: str) -> int | None:
    """The degree for a sol-fa syllable, perhaps with octave marks; None for other words."""
    return _SOLFA.get(word.lower().rstrip("',"))


def _named_note(word: str) -> TokenError:
    """The error for a note that is written as a letter or a sol-fa syllable."""
    loud = ' For loud, write "f".' if word == "F" else ""
    if _solfa(word):
        return TokenError(
            f"{shown(word)} names a note by a syllable, but here notes are numbers.",
            'Write the number of each note in the scale: for do re mi fa, write "1 2 3 4".',
            once=True,
        )
    return TokenError(
        f"{shown(word)} names a note by a letter, but here notes are numbers.",
        "Write the number of each note in the scale, 1 to 7, counted from the tonic: for C D E F "
        f'in C major, write "1 2 3 4".{loud}',
        once=True,
    )


def glued_error(word: str, position: int) -> TokenError:
    """What is wrong when a token goes on at the index `position`, directly after a share, without a
    dot."""
    first, rest = word[position], word[position:]
    plain = _LOOKALIKES.get(first, "")
    return _first(
        (
            rest in ("#", "b"),
            f"In {shown(word)} the accidental stands after the note.",
            _ACCIDENTAL_FIRST,
        ),
        (
            first in "0123456789x-#b",
            f"In {shown(word)} several notes run together.",
            _separated(word),
        ),
        (
            first in "',",
            f'In {shown(word)} the "{first}" stands after another mark.',
            _ORDER_OF_MARKS,
        ),
        (
            rest in {*BREATHS, *DYNAMICS, *HAIRPINS},
            f"In {shown(word)} there is no space between the note and the breath or dynamic.",
            f"Write a space before {shown(rest)}.",
        ),
        (bool(plain), *_lookalike(word, first, plain)),
    ) or _unknown(word)


def _first(*rules: tuple[bool, str, str]) -> TokenError | None:
    """The error of the first rule that is broken, if any. Each rule consists of whether it is
    broken, the message and the hint."""
    return next((TokenError(message, hint) for broken, message, hint in rules if broken), None)


def _separated(word: str) -> str:
    """The hint for notes without spaces between them, such as 12."""
    one_beat, several = "1.2", "1 2"
    if len(word) <= LONGEST_SHOWN:
        gap = r"(?<=[0-9x',?^~-])(?=[#b]*[0-9x-])"  # between two shares, where there is no dot
        one_beat, several = re.sub(gap, ".", word), re.sub(gap, " ", word)
    return f'Write "{one_beat}" if they share one beat, or "{several}" if each lasts a beat.'


def _lookalike(word: str, sign: str, plain: str) -> tuple[str, str]:
    """The message and the hint for a sign that looks like the `plain` one."""
    return (
        f'{shown(word)} contains the sign "{sign}", which only looks like "{plain}".',
        f'Retype it as "{plain}".',
    )


def _unknown(word: str) -> TokenError:
    return TokenError(
        f"{shown(word)} is neither a note nor a sign of this notation.",
        'Write notes as the digits 1 to 7, "0" for a rest, "x" for a spoken beat, "-" to prolong '
        'the note before, "|" at the end of a bar, "v" for a breath. Write words on a line below '
        'the notes that begins with "words:".',
    )
