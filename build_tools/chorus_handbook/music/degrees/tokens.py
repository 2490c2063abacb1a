"""Cuts a line of `degrees` notation into tokens, and reads each of them by itself.

Tokens are separated by spaces. A token is a beat, a bar line, a breath, a dynamic, or three dots.
Dots divide a beat into equal *shares*: 1.2 is a beat with two notes. A token that cannot be read
becomes a beat with an unknown sound, so that the rest of the line can still be checked;
`token_errors` explains what is wrong with it. Then `melody` makes notes of the tokens.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from chorus_handbook.music.degrees.token_errors import (
    HAIRPINS,
    SHARE,
    TokenError,
    bar_error,
    glued_error,
    no_share_error,
    share_error,
)
from chorus_handbook.music.score import DYNAMICS, Breath, Degree, SpokenHeight
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

#: The most shares of one beat.
MOST_SHARES = 12

ShareKind = Literal["note", "rest", "spoken", "prolonged", "unread"]


@dataclass(frozen=True, slots=True)
class Share:
    """One of the equal parts of a beat; most beats have only one.

    kind: what it is. "prolonged" stands for "-", which prolongs the note before; "unread" for what
        could not be read.
    degree: set only for a note.
    height: set only for a spoken share.
    glides, easy, fermata: whether it has the mark ~, ? or ^.
    """

    place: Place
    kind: ShareKind
    degree: Degree | None = None
    height: SpokenHeight | None = None
    glides: bool = False
    easy: bool = False
    fermata: bool = False


@dataclass(frozen=True, slots=True)
class Beat:
    """One beat, in equal shares."""

    place: Place
    shares: tuple[Share, ...]


@dataclass(frozen=True, slots=True)
class BarLine:
    place: Place


@dataclass(frozen=True, slots=True)
class BreathMark:
    place: Place
    kind: Breath


@dataclass(frozen=True, slots=True)
class DynamicMark:
    """A dynamic ("mf") or the start of a hairpin ("<", ">")."""

    place: Place
    sign: str


@dataclass(frozen=True, slots=True)
class ToTheEnd:
    """Three dots: the last note lasts to the end of the block (lines that sound together)."""

    place: Place


Token = Beat | BarLine | BreathMark | DynamicMark | ToTheEnd


_BREATHS: dict[str, Breath] = {"v": "breath", "v?": "staggered"}
_HEIGHTS: dict[str, SpokenHeight] = {"": "middle", "'": "high", ",": "low"}


def read_tokens(text: str, place: Place) -> tuple[list[Token], list[Problem]]:
    """Read the tokens of `text`, whose first character stands at `place`. Returns them and the
    problems."""
    tokens: list[Token] = []
    problems: list[Problem] = []
    reported = False  # whether an error with `once`, which is reported only once, has been reported
    for found in re.finditer(r"\S+", text):
        at = place.at(place.line, place.column + found.start())
        for token, where in _read_word(found[0], at):
            if not isinstance(token, TokenError):
                tokens.append(token)
            elif not (token.once and reported):
                reported = reported or token.once
                problems.append(Problem(where, token.code, token.message, token.hint))
    return tokens, problems


def _read_word(word: str, at: Place) -> list[tuple[Token | TokenError, Place]]:
    """Read a run of characters without spaces that begins at `at`. Returns the tokens in it, each
    with its place. What cannot be read gives an error, then the token that takes its place."""
    if word == "|":
        return [(BarLine(at), at)]
    if "|" not in word:
        token = _read_token(word, at)
        return (
            [(token, at), (Beat(at, (Share(at, "unread"),)), at)]
            if isinstance(token, TokenError)
            else [(token, at)]
        )
    error = bar_error(word)
    if error:
        return [(error, at), (BarLine(at), at)]
    # A bar line touches something: report it, and read the pieces as if there were spaces.
    error = TokenError(
        f"There is no space beside the bar line in {shown(word)}.",
        'Write a space before and after "|".',
    )
    read: list[tuple[Token | TokenError, Place]] = [(error, at)]
    for piece in re.finditer(r"\|+|[^|]+", word):
        there = at.at(at.line, at.column + piece.start())
        read += (
            [(BarLine(there), there)] if piece[0].startswith("|") else _read_word(piece[0], there)
        )
    return read


def _read_token(word: str, at: Place) -> Token | TokenError:
    if word in _BREATHS:
        return BreathMark(at, _BREATHS[word])
    if word in DYNAMICS or word in HAIRPINS:
        return DynamicMark(at, word)
    if word == "...":
        return ToTheEnd(at)
    return _read_beat(word, at)


def _read_beat(word: str, at: Place) -> Beat | TokenError:
    shares: list[Share] = []
    position = 0
    while True:
        found = SHARE.match(word, position)
        if not found:
            return no_share_error(word, position)
        error = share_error(found)
        if error:
            return error
        shares.append(_share(found, at.at(at.line, at.column + position)))
        if len(shares) > MOST_SHARES:
            return TokenError(
                f"The beat {shown(word)} has more than {MOST_SHARES} notes.",
                "Spread the notes over more beats, and raise the tempo.",
                "notation-size",
            )
        position = found.end()
        if position == len(word):
            return Beat(at, tuple(shares))
        if word[position] == ".":
            position += 1
        elif "~" not in found[4] or not SHARE.match(word, position):
            # 1~5 needs no dot: the glide itself joins the shares.
            return glued_error(word, position)


def _share(found: re.Match[str], place: Place) -> Share:
    sign, head, octave, marks = found.groups()
    glides, easy, fermata = "~" in marks, "?" in marks, "^" in marks
    if head == "0":
        return Share(place, "rest", fermata=fermata)
    if head == "-":
        return Share(place, "prolonged", glides=glides, fermata=fermata)
    if head == "x":
        return Share(place, "spoken", height=_HEIGHTS[octave], fermata=fermata)
    steps = int(head) - 1 + 7 * (octave.count("'") - octave.count(","))
    alter = {"#": 1, "b": -1, "": 0}[sign]
    return Share(place, "note", Degree(steps, alter), None, glides, easy, fermata)
