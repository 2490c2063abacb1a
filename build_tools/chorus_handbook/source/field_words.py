"""What does not fit a field, said to the author: never in the validating library's words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from chorus_handbook.problems import did_you_mean
from chorus_handbook.source.names import LONGEST_NAME, NAME_PATTERN, as_name
from chorus_handbook.source.suggestions import Fits, in_brackets, one_of
from chorus_handbook.source.text import clip

_LONGEST_REASON = 240
#: Numbers to a program, to no one else.
_ENDLESS = re.compile(r"[-+]?(?:nan|inf|infinity)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Misfit:
    """A value that does not fit: the library's kind of error and its limits, the field's name,
    the value, and what the model says the field is about. `item`: the value is one of a list.
    `fits` tells whether another value would be right there."""

    kind: str
    limits: dict[str, Any]
    field: str
    value: object
    about: str
    item: bool = False
    fits: Fits = lambda _: False

    @property
    def help(self) -> str:
        return self.about or "See the documentation for what may stand here."

    @property
    def shown(self) -> str:
        """The value as the author knows it."""
        if isinstance(self.value, bool):
            return str(self.value).lower()
        if isinstance(self.value, list):
            return "a list"
        return "a group of fields" if isinstance(self.value, dict) else f'"{clip(self.value)}"'


Words = tuple[str, str]


def worded(misfit: Misfit) -> Words:
    """The message and the hint."""
    if misfit.value is None:
        return (
            f'"{misfit.field}" is empty.',
            f"Write a value after the colon, or delete the line. {misfit.about}".rstrip(),
        )
    words = _WORDS.get(misfit.kind)
    if words is None:
        return f'"{misfit.field}" cannot be {misfit.shown}.', misfit.help
    return words(misfit)


def _text(misfit: Misfit) -> Words:
    if isinstance(misfit.value, bool):
        return (
            f'"{misfit.field}" takes words, but {misfit.shown} on its own means yes or no.',
            f'If you mean the word, put it in quotes: "{misfit.shown}".',
        )
    if misfit.item:
        return f'Each item of "{misfit.field}" is one text, not {misfit.shown}.', misfit.help
    return f'"{misfit.field}" takes one text, not {misfit.shown}.', misfit.help


def _text_or_list(misfit: Misfit) -> Words:
    return f'"{misfit.field}" takes a word or a list of words, not {misfit.shown}.', misfit.help


def _empty_text(misfit: Misfit) -> Words:
    return f'"{misfit.field}" is empty.', f"Write something there. {misfit.about}".rstrip()


def _long_text(misfit: Misfit) -> Words:
    most = misfit.limits.get("max_length")
    if most == LONGEST_NAME:
        return f"{misfit.shown} is too long for a name.", f"Keep it under {most} characters."
    return (
        f'"{misfit.field}" has {len(str(misfit.value))} characters; at most {most} are allowed.',
        "Shorten it.",
    )


def _form(misfit: Misfit) -> Words:
    text = str(misfit.value)
    if misfit.limits.get("pattern") == NAME_PATTERN:
        better = as_name(text)
        several = one_of(text, misfit.fits)
        if several:
            return (
                f'"{misfit.field}" takes one name, and {misfit.shown} are {len(several)}.',
                f"Write one of them: {' or '.join(several)}.",
            )
        return (
            f"{misfit.shown} cannot be used as a name.",
            "A name has small letters, digits and hyphens only"
            + (f", such as {better}." if better else ", and begins with a letter."),
        )
    if not text.strip():
        return _empty_text(misfit)
    if "\n" in text.strip("\n"):
        return f'"{misfit.field}" takes one line.', "Say it in one line, without a line break."
    if "\n" in text:
        return (
            f'"{misfit.field}" takes one line.',
            "Write the text after the colon, without | or >.",
        )
    return f'"{misfit.field}" cannot be {misfit.shown}.', misfit.help


def _number(misfit: Misfit) -> Words:
    whole = misfit.kind.startswith("int")
    message = f'"{misfit.field}" takes a {"whole " if whole else ""}number, not {misfit.shown}.'
    text = str(misfit.value)
    clock = re.fullmatch(r"(\d{1,3}):([0-5]\d)", text)
    if clock and not whole:
        minutes = round(int(clock[1]) + int(clock[2]) / 60, 2)
        if misfit.fits(minutes):
            return message, f"Write the time in minutes, with a decimal point: {minutes:g}."
    if re.fullmatch(r"\d{1,6},\d{1,6}", text) and misfit.fits(float(text.replace(",", "."))):
        return message, f"Write it with a decimal point: {text.replace(',', '.')}."
    unit = re.fullmatch(r"(\d{1,6})\s*[A-Za-z.]+", text)
    if unit and misfit.fits(int(unit[1])):
        return message, f"Write only the number: {unit[1]}."
    return message, misfit.help


def _size(misfit: Misfit) -> Words:
    if isinstance(misfit.value, bool) or _ENDLESS.fullmatch(str(misfit.value)):
        return _number(misfit)
    bounds = {
        "ge": "it cannot be less than {}",
        "gt": "it must be more than {}",
        "le": "it cannot be more than {}",
        "lt": "it must be less than {}",
    }
    said = [
        text.format(f"{misfit.limits[name]:g}")
        for name, text in bounds.items()
        if name in misfit.limits
    ]
    return f'"{misfit.field}" is {clip(misfit.value)}; {" and ".join(said)}.', misfit.help


def _choice(misfit: Misfit) -> Words:
    words = re.findall(r"'([^']*)'", str(misfit.limits.get("expected", "")))
    slip = did_you_mean(clip(misfit.value), words)
    listed = ", ".join(words[:-1]) + f" or {words[-1]}" if len(words) > 1 else "".join(words)
    return f'"{misfit.field}" cannot be {misfit.shown}.{slip}', f"Write {listed}."


def _list(misfit: Misfit) -> Words:
    if isinstance(misfit.value, dict):
        return (
            f'"{misfit.field}" is a list, not a group of fields.',
            f"Write: {misfit.field}: [one, two]",
        )
    written = in_brackets(misfit.value, misfit.fits)
    return (
        f'"{misfit.field}" is a list; put even a single item in brackets.',
        f"Write: {misfit.field}: {written or '[one, two]'}",
    )


def _group(misfit: Misfit) -> Words:
    return (
        f'"{misfit.field}" has fields of its own; it cannot be {misfit.shown}.',
        "Write its fields on the lines below it, each indented by two spaces.",
    )


def _too_few(misfit: Misfit) -> Words:
    least = misfit.limits.get("min_length", 1)
    return (
        f'"{misfit.field}" needs at least {least}.',
        f"Add what is missing. {misfit.about}".rstrip(),
    )


def _too_many(misfit: Misfit) -> Words:
    most, there = misfit.limits.get("max_length"), misfit.limits.get("actual_length")
    count = f"has {there}" if there else "has too many"
    return f'"{misfit.field}" {count}; at most {most} are allowed.', "Keep the most important ones."


def _own_words(misfit: Misfit) -> Words:
    """A rule of the model itself: its sentence, and behind a semicolon what to do."""
    # The sentence may hold the value, and the value a line break.
    reason = " ".join(str(misfit.limits.get("error", "")).split())
    reason = reason or f'"{misfit.field}" does not fit'
    said, _, advice = reason.partition("; ")
    said = said if len(said) <= _LONGEST_REASON else said[: _LONGEST_REASON - 1] + "…"
    message = f"{said[:1].upper()}{said[1:]}".rstrip(".") + "."
    hint = f"{advice[:1].upper()}{advice[1:]}".rstrip(".") + "." if advice else misfit.help
    return message, hint


_WORDS: dict[str, Callable[[Misfit], Words]] = {
    "string_type": _text,
    "text_or_list": _text_or_list,
    "string_too_short": _empty_text,
    "string_too_long": _long_text,
    "string_pattern_mismatch": _form,
    "int_type": _number,
    "int_parsing": _number,
    "int_parsing_size": _number,
    "int_from_float": _number,
    "float_type": _number,
    "float_parsing": _number,
    "finite_number": _number,
    "greater_than": _size,
    "greater_than_equal": _size,
    "less_than": _size,
    "less_than_equal": _size,
    "literal_error": _choice,
    "list_type": _list,
    "dict_type": _group,
    "model_type": _group,
    "model_attributes_type": _group,
    "too_short": _too_few,
    "too_long": _too_many,
    "value_error": _own_words,
}
