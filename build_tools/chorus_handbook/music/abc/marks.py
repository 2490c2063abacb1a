"""Recognises the decorations of ABC, such as `!fermata!`, and explains those that are not supported
(sections 4.14 and 4.16).
"""

from __future__ import annotations

import re

from chorus_handbook.music.abc.keys import FieldError
from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.score import DYNAMICS, Accent
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
#: The accents of a score by the names of the ABC decorations that mean them.
ACCENTS: dict[str, Accent] = {
    ">": "accent",
    "accent": "accent",
    "emphasis": "accent",
    "^": "marcato",
    "marcato": "marcato",
    "staccato": "staccato",
    "tenuto": "tenuto",
}
_SUPPORTED = FERMATAS | HAIRPIN_SIGNS | set(DYNAMICS) | {"breath"} | set(ACCENTS)

#: Single signs that stand for a decoration unless `U:` says otherwise.
SYMBOLS = {
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
#: A `U:` field: a sign, and the decoration that it stands for, as in "T = !trill!".
_SYMBOL = re.compile(r"([~H-Wh-w])[ \t]*=[ \t]*!([^!\s]+)!")
#: Dynamics louder than "ff" and softer than "pp", which the handbook does not have.
_LOUD, _SOFT = ("fff", "ffff", "sfz"), ("ppp", "pppp")
#: Signs that send singers to another place in the music.
_JUMPS = frozenset("segno coda D.S. D.C. dacoda dacapo fine".split())


def read_symbol(text: str) -> tuple[str, str]:
    """The sign and the decoration of a `U:` field (section 4.16). Raises FieldError."""
    found = _SYMBOL.fullmatch(text)
    if not found:
        raise FieldError(
            f"{shown(text)} does not give a sign a meaning.",
            "Write U: with one of the letters H to W or h to w, or ~, and a decoration: "
            "U:t = !tenuto!",
        )
    return found[1], found[2]


def mark_sign(token: Token) -> str:
    """The decoration that a token stands for: its name; for a hairpin, the sign such as "<("."""
    return _HAIRPINS.get(token.sign, token.sign)


def stands_before(sign: str) -> bool:
    """Whether a decoration belongs to the note after it. Decorations that do not, such as dynamics,
    take effect where they stand between the notes."""
    return sign in FERMATAS or sign in ACCENTS or sign == "breath"


def unsupported_decoration(token: Token) -> Problem | None:
    """A problem that says what to write instead, if the handbook does not support the decoration of
    this token; None if it does."""
    sign = mark_sign(token)
    if sign in _SUPPORTED:
        return None
    hint = (
        "The handbook reads !breath!, !fermata!, !p!, !mf!, !f! and such, !<(! and !<)!, !accent!, "
        "!marcato!, !tenuto! and !staccato!."
    )
    if sign in _LOUD or sign in _SOFT:
        hint = f"Write {'!ff!' if sign in _LOUD else '!pp!'}, and say the rest in the text."
    elif sign in _JUMPS:
        hint = "Write repeats with |: and :|, and different endings with |1 and :|2"
    elif sign == "wedge":
        hint = "Write !staccato!, or . before the note."
    elif token.kind == "letter_mark":
        hint = f'"{token.text}" means !{sign}!. Delete it, if singers can do without it.'
    elif not sign:
        hint = "Write the name of the decoration between exclamation marks, such as !breath!"
    else:
        hint += did_you_mean(sign[:30], _SUPPORTED)
    return Problem(
        token.place,
        "notation-token",
        f"{shown(token.text)} is a decoration that the handbook does not support.",
        hint,
    )
