"""Explains field errors: it finds the message and the hint that an author reads when the value of a
field is wrong.

pydantic finds the errors, and `fields` turns each into a `FieldError`. `describe` then puts it into
everyday words; pydantic's own messages are never shown.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from chorus_handbook.problems import did_you_mean, in_quotes
from chorus_handbook.source.names import LONGEST_NAME, NAME_PATTERN, as_name
from chorus_handbook.source.suggestions import Fits, in_brackets, one_of
from chorus_handbook.source.text import clip

#: The most characters of a message that one of our models raised; a longer one is cut.
_LONGEST_REASON = 240
#: A hint shows whole lines ("motion: steps") for up to this many choices; for more, only the words.
_MOST_LINES_SHOWN = 3
#: Words such as "inf" and "nan", which Python accepts as numbers though no author means one.
_NUMBER_WORD = re.compile(r"[-+]?(?:nan|inf|infinity)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class FieldError:
    """A wrong value.

    kind: pydantic's name of the error, such as "int_type".
    context: what pydantic says about it: the limit that was passed, the pattern, the expected
        words, or the error that our own model raised.
    field, value: the field's name and its value in the file.
    about: the description of the field in the model.
    item: whether the value is one item of a list.
    fits: a function that says whether another value would be valid in its place.
    """

    kind: str
    context: dict[str, Any]
    field: str
    value: object
    about: str
    item: bool = False
    fits: Fits = lambda _: False

    @property
    def help(self) -> str:
        """The hint when there is nothing more exact to say: the description of the field."""
        return f"About this field: {self.about}" if self.about else "Write another value."

    @property
    def shown(self) -> str:
        """The value as the author wrote it; for a list or group only "a list" and the like."""
        if isinstance(self.value, bool):
            return str(self.value).lower()
        if isinstance(self.value, list):
            return "a list"
        return "a group of fields" if isinstance(self.value, dict) else f'"{clip(self.value)}"'


#: The message and the hint for an error.
Words = tuple[str, str]


def describe(error: FieldError) -> Words:
    """The message and the hint for a field error: what an author reads."""
    if error.value is None:
        return (
            f'"{error.field}" is empty.',
            f"Write a value after the colon, or delete the line. {error.help}",
        )
    describer = _DESCRIBERS.get(error.kind)
    if describer is None:
        return f'"{error.field}" cannot be {error.shown}.', error.help
    return describer(error)


# Each of the functions below describes one kind of error; `_DESCRIBERS` says which.


def _text(error: FieldError) -> Words:
    if isinstance(error.value, bool):
        return (
            f'"{error.field}" must be a text, but {error.shown} without quotes means yes or no.',
            f'If you mean the word, put it in quotes: "{error.shown}".',
        )
    if error.item:
        return f'Each item of "{error.field}" must be a text, not {error.shown}.', error.help
    return f'"{error.field}" must be a text, not {error.shown}.', error.help


def _text_or_list(error: FieldError) -> Words:
    return f'"{error.field}" must be a word or a list of words, not {error.shown}.', error.help


def _empty_text(error: FieldError) -> Words:
    return f'"{error.field}" is empty.', f"Write a text there. {error.help}"


def _long_text(error: FieldError) -> Words:
    most = error.context.get("max_length")
    if most == LONGEST_NAME:
        return f"{error.shown} is too long for a name.", f"Write at most {most} characters."
    return (
        f'"{error.field}" has {len(str(error.value))} characters, but at most {most} are allowed.',
        "Shorten it.",
    )


def _wrong_pattern(error: FieldError) -> Words:
    text = str(error.value)
    if error.context.get("pattern") == NAME_PATTERN:
        better = as_name(text)
        several = one_of(text, error.fits)
        if several:
            return (
                f'"{error.field}" must be one name, but {error.shown} are {len(several)}.',
                f"Write one of them: {in_quotes(several)}.",
            )
        return (
            f"{error.shown} cannot be used as a name.",
            "Write only small letters, digits and hyphens"
            + (f', such as "{better}".' if better else ", beginning with a letter."),
        )
    if not text.strip():
        return _empty_text(error)
    if "\n" in text.strip("\n"):
        return f'"{error.field}" must be one line.', "Write it in one line, without a line break."
    if "\n" in text:
        return (
            f'"{error.field}" must be one line.',
            'Write the text after the colon, without "|" or ">".',
        )
    return f'"{error.field}" cannot be {error.shown}.', error.help


def _number(error: FieldError) -> Words:
    whole = error.kind.startswith("int")
    message = f'"{error.field}" must be a {"whole " if whole else ""}number, not {error.shown}.'
    text = str(error.value)
    clock = re.fullmatch(r"(\d{1,3}):([0-5]\d)", text)
    if clock and not whole:
        minutes = round(int(clock[1]) + int(clock[2]) / 60, 2)
        if error.fits(minutes):
            return (
                message,
                f'Write the time in minutes, with a decimal point: "{error.field}: {minutes:g}".',
            )
    if re.fullmatch(r"\d{1,6},\d{1,6}", text) and error.fits(float(text.replace(",", "."))):
        return message, f'Write it with a decimal point: "{error.field}: {text.replace(",", ".")}".'
    unit = re.fullmatch(r"(\d{1,6})\s*[A-Za-z.]+", text)
    if unit and error.fits(int(unit[1])):
        return message, f'Write only the number: "{error.field}: {unit[1]}".'
    return message, f"Write a number such as 3. {error.help}"


def _size(error: FieldError) -> Words:
    if isinstance(error.value, bool) or _NUMBER_WORD.fullmatch(str(error.value)):
        return _number(error)
    bounds = {
        "ge": "it cannot be less than {}",
        "gt": "it must be more than {}",
        "le": "it cannot be more than {}",
        "lt": "it must be less than {}",
    }
    broken = [
        text.format(f"{error.context[name]:g}")
        for name, text in bounds.items()
        if name in error.context
    ]
    return (
        f'"{error.field}" is {clip(error.value)}; {" and ".join(broken)}.',
        f"Write another number. {error.help}",
    )


def _choice(error: FieldError) -> Words:
    words = re.findall(r"'([^']*)'", str(error.context.get("expected", "")))
    guess = did_you_mean(clip(error.value), words)
    if error.item or len(words) > _MOST_LINES_SHOWN:
        hint = f"Write one of these: {in_quotes(words)}."
    else:
        hint = "Write " + " or ".join(f'"{error.field}: {word}"' for word in words) + "."
    return f'"{error.field}" cannot be {error.shown}.{guess}', hint


def _list(error: FieldError) -> Words:
    if isinstance(error.value, dict):
        return (
            f'"{error.field}" must be a list, not a group of fields.',
            f'Write a list such as "{error.field}: [one, two]".',
        )
    written = in_brackets(error.value, error.fits)
    return (
        f'"{error.field}" must be a list in brackets, even with a single item.',
        f'Write "{error.field}: {written}".'
        if written
        else f'Write a list such as "{error.field}: [one, two]".',
    )


def _group(error: FieldError) -> Words:
    return (
        f'"{error.field}" must be a group of fields, not {error.shown}.',
        'Write its fields on the lines below it, each indented by two spaces: "name: value".',
    )


def _too_few(error: FieldError) -> Words:
    least = error.context.get("min_length", 1)
    several = "one or more" if least == 1 else f"at least {least}"
    add = (
        f'Write {several} below "{error.field}:", each on a line of its own and indented'
        if isinstance(error.value, dict)
        else f"Write {several} between the brackets, separated by commas"
    )
    return (
        f'"{error.field}" needs at least {least} {"entries" if least != 1 else "entry"}.',
        f"{add}. {error.help}" if error.about else f"{add}, or delete the line.",
    )


def _too_many(error: FieldError) -> Words:
    most, actual = error.context.get("max_length"), error.context.get("actual_length")
    count = f"has {actual}" if actual else "has too many"
    return (
        f'"{error.field}" {count} items, but at most {most} are allowed.',
        "Keep the most important ones, and delete the others.",
    )


def _rule_of_the_model(error: FieldError) -> Words:
    """The words of a ValueError that one of our own models raised: its text says what is wrong
    and, after a semicolon, what to do."""
    # The text may contain the value, and the value a line break.
    reason = " ".join(str(error.context.get("error", "")).split())
    reason = reason or f'"{error.field}" does not fit'
    rule, _, advice = reason.partition("; ")
    rule = rule if len(rule) <= _LONGEST_REASON else rule[: _LONGEST_REASON - 1] + "…"
    return _sentence(rule), _sentence(advice) if advice else error.help


def _sentence(text: str) -> str:
    """The text with a capital letter at its beginning and a full stop at its end."""
    return f"{text[:1].upper()}{text[1:]}".rstrip(".") + "."


#: Which function describes an error, by pydantic's name of the error.
_DESCRIBERS: dict[str, Callable[[FieldError], Words]] = {
    "string_type": _text,
    "text_or_list": _text_or_list,
    "string_too_short": _empty_text,
    "string_too_long": _long_text,
    "string_pattern_mismatch": _wrong_pattern,
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
    "value_error": _rule_of_the_model,
}
