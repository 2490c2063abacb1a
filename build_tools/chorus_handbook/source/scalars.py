"""Decides the value of a text without quotes in YAML (a *plain scalar*), by the core schema of YAML
1.2.2 (section 10.3.2).

`true`, `false`, `null` and numbers have a meaning; everything else stays text, such as `no`, `1:30`
and `2024-05-01`. A number that is not written in its usual form (`1.10`, `007`) also keeps its
text, so that `title: 007` is shown as it is written.
"""

from __future__ import annotations

import re
from collections.abc import Callable

Scalar = str | int | float | bool | None

#: The most characters of a number. A longer one stays text: no field needs it, and converting very
#: many digits is slow.
_MOST_DIGITS = 40

#: The texts, other than numbers, that have a meaning.
_WORDS: dict[str, Scalar] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **dict.fromkeys((".inf", ".Inf", ".INF", "+.inf", "+.Inf", "+.INF"), float("inf")),
    **dict.fromkeys(("-.inf", "-.Inf", "-.INF"), float("-inf")),
    **dict.fromkeys((".nan", ".NaN", ".NAN"), float("nan")),
}


class WrittenInt(int):
    """A whole number that remembers how it was written in the file, such as "007"."""

    written: str

    def __str__(self) -> str:
        return self.written


class WrittenFloat(float):
    """A number with a fraction that remembers how it was written in the file, such as "1.10"."""

    written: str

    def __str__(self) -> str:
        return self.written


#: The forms of numbers (whole, octal, hexadecimal, with a fraction), each with the function that
#: makes a number of the text.
_NUMBERS: tuple[tuple[re.Pattern[str], Callable[[str], WrittenInt | WrittenFloat]], ...] = (
    (re.compile(r"[-+]?[0-9]+"), WrittenInt),
    (re.compile(r"0o[0-7]+"), lambda text: WrittenInt(text[2:], 8)),
    (re.compile(r"0x[0-9a-fA-F]+"), lambda text: WrittenInt(text[2:], 16)),
    (re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"), WrittenFloat),
)


def plain_scalar(text: str) -> Scalar:
    """The value of a text that is not in quotes: a number, True, False, None, or the text
    itself."""
    if text in _WORDS:
        return _WORDS[text]
    if text[0] not in "+-.0123456789" or len(text) > _MOST_DIGITS:
        return text
    for form, number in _NUMBERS:
        if form.fullmatch(text):
            return _as_written(number(text), text)
    return text


def _as_written(value: WrittenInt | WrittenFloat, text: str) -> int | float:
    """An ordinary number if `text` is its usual form, otherwise the given number with its text."""
    plain = int(value) if isinstance(value, WrittenInt) else float(value)
    if repr(plain) == text:
        return plain
    value.written = text
    return value
