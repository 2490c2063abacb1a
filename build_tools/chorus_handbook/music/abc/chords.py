"""Reads notes that ABC writes in brackets: chords such as [CEG] (section 4.17 of the standard) and
grace notes such as {g} (section 4.12).

A chord is for a voice whose singers divide, so all its notes must be equally long, and all or none
of them tied. The lengths of grace notes have no meaning, as in the standard.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.music.abc.rhythm import read_length
from chorus_handbook.music.abc.tokens import Token, read_tokens
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

#: The most notes of a chord, and the most grace notes before one note.
MOST_TOGETHER, MOST_GRACES = 6, 8


@dataclass(frozen=True, slots=True)
class Chord:
    """The notes of a chord, its length in units of `L:` (None if that is not valid), and the place
    of the tie after it, if there is one."""

    notes: Sequence[Token]
    length: Fraction | None
    tie: Place | None


def read_chord(token: Token, symbols: Mapping[str, str]) -> tuple[Chord | None, list[Problem]]:
    """Read a token that is a chord. `symbols` has the decorations that single letters stand for.
    Returns the chord, or None and the problems."""
    problems: list[Problem] = []
    place = token.inside("together")
    tokens = list(read_tokens(token["together"], place, symbols, problems))
    notes = [inner for inner in tokens if inner.kind == "note"]
    ties = [inner for inner in tokens if inner.kind == "tie"]
    problems += _wrong_kinds(tokens, ("note", "tie"), 'Write it before the "[".')
    lengths = {read_length(note["length"]) for note in notes}
    if not problems:
        problems += _chord_errors(token, notes, ties, lengths)
    if problems:
        return None, problems
    (inner,), outer = lengths, read_length(token["lasting"])
    length = inner * outer if inner and outer else None  # [C2E2]3 lasts 2 × 3
    return Chord(notes, length, ties[0].place if ties else None), []


def read_graces(token: Token, symbols: Mapping[str, str]) -> tuple[list[Token], list[Problem]]:
    """Read a token that is a group of grace notes. `symbols` has the decorations that single
    letters stand for. Returns the notes, or none and the problems."""
    problems: list[Problem] = []
    tokens = list(read_tokens(token["quick"], token.inside("quick"), symbols, problems))
    problems += _wrong_kinds(tokens, ("note",), 'Write it outside the "{" and "}".')
    if not problems and not 1 <= len(tokens) <= MOST_GRACES:
        problems.append(
            Problem(
                token.place,
                "notation-token",
                f"{shown(token.text)} contains {'too many' if tokens else 'no'} notes.",
                f'Write grace notes as in "{{g}}" or "{{gab}}"; at most {MOST_GRACES}.',
            )
        )
    return ([] if problems else tokens), problems


def _wrong_kinds(tokens: Sequence[Token], kinds: Sequence[str], hint: str) -> Iterator[Problem]:
    """One problem for each token between the brackets that is not of one of the allowed `kinds`."""
    for token in tokens:
        if token.kind not in kinds:
            yield Problem(
                token.place,
                "notation-token",
                f"{shown(token.text)} cannot stand between these brackets; only notes can.",
                hint,
            )


def _chord_errors(
    token: Token,
    notes: Sequence[Token],
    ties: Sequence[Token],
    lengths: set[Fraction | None],
) -> Iterator[Problem]:
    """Report a chord with no or too many notes, with different lengths, or with only some notes
    tied. `token` is the whole chord; `notes` and `ties` are the tokens in it, `lengths` the
    different lengths of its notes."""
    what = shown(token.text)
    if not 1 <= len(notes) <= MOST_TOGETHER:
        yield Problem(
            token.place,
            "notation-token",
            f"{what} contains {'too many' if notes else 'no'} notes.",
            f'Write the notes of a voice that divides as in "[CEG]2"; at most {MOST_TOGETHER}.',
        )
    elif len(lengths) > 1:
        yield Problem(
            token.place,
            "notation-token",
            f"The notes in {what} have different lengths; in one voice they must be equal.",
            'Write one length after the "]", as in "[CEG]2", or give each line a voice of its own '
            'with "V:".',
        )
    elif ties and len(ties) != len(notes):
        yield Problem(
            ties[0].place,
            "notation-token",
            f"In {what} only some of the notes are tied.",
            'Tie all of them by a "-" after the "]", or give each line a voice of its own with '
            '"V:".',
        )
