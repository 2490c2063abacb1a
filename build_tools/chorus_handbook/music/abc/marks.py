"""Decorations of ABC (section 4.14): which are read, and what is said of the others."""

from __future__ import annotations

from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.score import DYNAMICS
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import HAIRPIN_SIGNS
from chorus_handbook.problems import Problem, did_you_mean

FERMATAS = frozenset({"fermata", "invertedfermata"})
_HAIRPINS = {
    "crescendo(": "<(",
    "crescendo)": "<)",
    "diminuendo(": ">(",
    "diminuendo)": ">)",
}
_READ = FERMATAS | HAIRPIN_SIGNS | set(DYNAMICS) | {"breath"}

#: Single signs that stand for a decoration unless `U:` says otherwise.
_LETTERS = {
    ".": "staccato",
    "~": "roll",
    "H": "fermata",
    "L": "accent",
    "M": "lowermordent",
    "O": "coda",
    "P": "uppermordent",
    "S": "segno",
    "T": "trill",
    "u": "upbow",
    "v": "downbow",
}
_LOUD, _SOFT = ("fff", "ffff", "sfz"), ("ppp", "pppp")
_JUMPS = frozenset("segno coda D.S. D.C. dacoda dacapo fine".split())
_ACCENTS = frozenset("accent emphasis > tenuto staccato wedge ^ marcato".split())


def mark_sign(token: Token) -> str:
    """The decoration of a token: its name, a dynamic, or a hairpin's sign."""
    word = token["word"] if token.kind == "mark" else _LETTERS[token.text]
    return _HAIRPINS.get(word, word)


def mark_slip(token: Token) -> Problem | None:
    """Why a decoration is not read; None when it is."""
    sign = mark_sign(token)
    if sign in _READ:
        return None
    hint = "The handbook reads !breath!, !fermata!, !p!, !mf!, !f! and such, !<(! and !<)!."
    if sign in _LOUD or sign in _SOFT:
        hint = f"Write {'!ff!' if sign in _LOUD else '!pp!'}, or say more in the text."
    elif sign in _JUMPS:
        hint = "Write repeats as |: and :|, and what differs as endings: |1 and :|2"
    elif sign in _ACCENTS:
        hint = "Take it out, and say in the text of the exercise how the notes are sung."
    elif token.kind == "letter_mark":
        hint = f'"{token.text}" stands for !{sign}!. Take it out, if a singer can do without.'
    elif not sign:
        hint = "Between exclamation marks stands what is meant, such as !breath!"
    else:
        hint += did_you_mean(sign[:30], _READ)
    return Problem(
        token.place,
        "notation-token",
        f"{shown(token.text)} is a decoration that the handbook leaves out.",
        hint,
    )
