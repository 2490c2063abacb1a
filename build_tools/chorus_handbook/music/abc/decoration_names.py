"""Recognises the decorations of ABC, such as `!fermata!`, and explains what to write instead of
those that are not supported (sections 4.14 and 4.16 of the standard).

A decoration is written by its name between exclamation marks. A single character, which the
standard calls a symbol, may stand for it: `H` for `!fermata!`, unless a field `U:` gives it another
meaning.
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
#: The long names of the decorations with which hairpins begin and end, and their short names.
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

#: The symbols, and the decorations that they stand for unless `U:` says otherwise.
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
#: A `U:` field: a symbol, and the decoration that it stands for, as in "T = !trill!".
_SYMBOL = re.compile(r"([~H-Wh-w])[ \t]*=[ \t]*!([^!\s]+)!")
#: Dynamics louder than "ff" and softer than "pp", which the handbook does not have.
_LOUD, _SOFT = ("fff", "ffff", "sfz"), ("ppp", "pppp")
#: Decorations that send singers to another place in the music.
_JUMPS = frozenset("segno coda D.S. D.C. dacoda dacapo fine".split())


def read_symbol(text: str) -> tuple[str, str]:
    """The symbol and the decoration of a `U:` field (section 4.16). Raises FieldError."""
    found = _SYMBOL.fullmatch(text)
    if not found:
        raise FieldError(
            f'The field "U:" does not say which decoration a letter stands for: {shown(text)}.',
            'Write one of the letters H to W or h to w, or "~", an equals sign and a decoration, '
            'as in "U:t = !tenuto!".',
        )
    return found[1], found[2]


def decoration_name(token: Token) -> str:
    """The name of the decoration that a token stands for; for the beginning or end of a hairpin,
    the short name, such as "<("."""
    return _HAIRPINS.get(token.decoration, token.decoration)


def belongs_to_note(name: str) -> bool:
    """Whether the decoration with this name belongs to the note after it. Decorations that do not,
    such as dynamics, take effect where they stand between the notes."""
    return name in FERMATAS or name in ACCENTS or name == "breath"


def unsupported_decoration(token: Token) -> Problem | None:
    """A problem that says what to write instead, if the handbook does not support the decoration of
    this token; None if it does."""
    name = decoration_name(token)
    if name in _SUPPORTED:
        return None
    hint = (
        'Delete it, or write one of those that the handbook reads: "!breath!", "!fermata!", '
        'dynamics such as "!mf!", "!<(!" and "!<)!", "!accent!", "!marcato!", "!tenuto!" and '
        '"!staccato!".'
    )
    if name in _LOUD or name in _SOFT:
        hint = (
            f'Write "{"!ff!" if name in _LOUD else "!pp!"}", and say the rest in the text of the '
            "exercise."
        )
    elif name in _JUMPS:
        hint = 'Write repeats with "|:" and ":|", and different endings with "|1" and ":|2".'
    elif name == "wedge":
        hint = 'Write "!staccato!", or "." before the note.'
    elif token.kind == "symbol":
        hint = f'"{token.text}" means "!{name}!". Delete it, if singers can do without it.'
    elif not name:
        hint = 'Write the name of the decoration between exclamation marks, such as "!breath!".'
    else:
        hint += did_you_mean(name[:30], _SUPPORTED)
    return Problem(
        token.place,
        "notation-token",
        f"{shown(token.text)} is a decoration that the handbook does not support.",
        hint,
    )
