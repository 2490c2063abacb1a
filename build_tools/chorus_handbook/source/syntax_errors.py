"""YAML parsed into nodes, and what is wrong with it said to someone who has never heard of YAML.

The parser's own words ("mapping values are not allowed in this context") name what it stumbled
over; what the author did is often a line earlier. The rules look for the mistakes that people make:
a tab, a colon or its space left out, a second colon, a quote or bracket left open, lines that do
not line up. `_PHRASES` has the errors for which the parser's words alone are enough.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import yaml

from chorus_handbook.problems import Place, Problem
from chorus_handbook.source.suggestions import quoted
from chorus_handbook.source.text import clip


class _Loader(getattr(yaml, "CBaseLoader", yaml.BaseLoader)):  # type: ignore[misc]
    """Leaves every value the text that was written: `scalars` says what it means."""

    def resolve(self, *_: object) -> str:
        return ""


#: Turns a line and column of the text, counted from 0, into the place in the file.
At = Callable[[int, int], Place]
#: A directive can stand only before everything but comments (YAML 1.2.2, section 6.8).
_DIRECTIVE = re.compile(r"(?:[ \t]*(?:#.*)?\n)*%")
_FIELD = "A field is a name, a colon, a space and a value, such as: title: Slack water"
_QUOTES = "Put the whole text in quotes"
_SAME_QUOTE = "Write the same quote at the end of the text."


class _Error(NamedTuple):
    """A syntax error as its author is told of it; line and column count from 0 in the text."""

    line: int
    column: int
    message: str
    hint: str
    code: str = "yaml-syntax"

    def problem(self, at: At) -> Problem:
        return Problem(at(self.line, self.column), self.code, self.message, self.hint)


def parse(text: str, at: At) -> tuple[yaml.MappingNode | None, Problem | None]:
    """The fields of a text as nodes, None for a text with nothing in it; or what is wrong."""
    try:
        root = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        return None, _describe(_Stop(error, text)).problem(at)
    except RecursionError:  # the loader written in Python knows no depth of its own
        return None, _Error(0, 0, *_TOO_DEEP).problem(at)
    if directive := _DIRECTIVE.match(text):
        return None, _Error(directive[0].count("\n"), 0, *_PERCENT).problem(at)
    if root is None or isinstance(root, yaml.MappingNode):
        return root, None
    if text[root.start_mark.index :].rstrip() in ("", "~", "null"):
        return None, None
    return None, _no_fields(text, root.start_mark.line).problem(at)


def refused(sign: str) -> tuple[str, str, str]:
    """Code, message and hint for an anchor, an alias or a tag; `sign` is how it is written."""
    does = {
        "&": "names a value so that others can refer to it",
        "*": "refers to another value",
        "!": "gives a value a type",
    }
    return (
        "yaml-feature",
        f'"{clip(sign.rstrip(":"))}" {does[sign[0]]} in YAML; a handbook does not use that.',
        "Write the value out. If you mean it as text, put it in quotes.",
    )


class _Stop:
    """Where the parser stopped, and where that which it was reading begins (`since`): lines and
    columns counted from 0. `complaint` is in the parser's words."""

    def __init__(self, error: yaml.MarkedYAMLError, text: str) -> None:
        stopped = error.problem_mark or error.context_mark
        since = error.context_mark or error.problem_mark
        assert stopped and since  # the parser always says where
        self.complaint = f"{error.context}: {error.problem}"
        self.line, self.column = stopped.line, stopped.column
        self.since = since.line, since.column
        self.whole, self.lines = text, [*text.split("\n"), ""]
        self.text = self.lines[self.line]

    @property
    def rest(self) -> str:
        """What follows from where the parser stopped, without space around it."""
        return "\n".join([self.text[self.column :], *self.lines[self.line + 1 :]]).strip()

    def said(self, *phrases: str) -> bool:
        """Whether the parser used any of these words."""
        return any(phrase in self.complaint for phrase in phrases)

    def here(self, message: str, hint: str) -> _Error:
        return _Error(self.line, self.column, message, hint)

    def tokens(self) -> Iterator[Any]:
        """The parser's tokens up to there."""
        try:
            for token in yaml.scan(self.whole, Loader=_Loader):
                if (token.start_mark.line, token.start_mark.column) >= (self.line, self.column):
                    return
                yield token
        except yaml.YAMLError:
            return


def _describe(stop: _Stop) -> _Error:
    """What the parser complains of, in an author's words."""
    if stop.said("undefined alias", "duplicate anchor"):
        code, message, hint = refused(re.split(r"[\s,\[\]{}]", stop.rest)[0])
        return _Error(stop.line, stop.column, message, hint, code)
    for rule in (_tab, _quote, _bracket, _colon, _out_of_line):
        if found := rule(stop):
            return found
    for words, since, *told in _PHRASES:
        line, column = stop.since if since else (stop.line, stop.column)
        sign = stop.lines[line][column : column + 1]
        if stop.said(*words) and ("{}" not in told[0] or sign.strip()):
            return _Error(line, column, told[0].replace("{}", sign), *told[1:])
    return stop.here(
        "This text cannot be read from here on.",
        "Compare this line and the one above with an example: a name, a colon, a space, a value;"
        " put a text with special characters in quotes.",
    )


def _tab(stop: _Stop) -> _Error | None:
    indent = stop.text[: len(stop.text) - len(stop.text.lstrip())]
    if "\t" not in indent or stop.said("quoted"):
        return None
    return _Error(
        stop.line,
        indent.index("\t"),
        "This line is indented with a tab; YAML needs spaces.",
        "Replace each tab with two spaces.",
    )


def _quote(stop: _Stop) -> _Error | None:
    """A quote that is never closed, or closed by the opening quote of a line below."""
    if stop.said("quoted scalar") and stop.said("end of stream", "document indicator"):
        return _Error(*stop.since, "The quote that opens here is never closed.", _SAME_QUOTE)
    if not stop.said("expected key", "expected ','", "'-' indicator"):
        return None
    texts = [token for token in stop.tokens() if getattr(token, "style", None) in ("'", '"')]
    if not texts or not texts[-1].start_mark.line < texts[-1].end_mark.line == stop.line:
        return None
    opened = texts[-1].start_mark.line, texts[-1].start_mark.column
    return _Error(*opened, "The quote that opens here is not closed on this line.", _SAME_QUOTE)


def _bracket(stop: _Stop) -> _Error | None:
    """Within brackets: one that is left open, or something missing between two characters."""
    if stop.said("unexpected ':'"):
        if stop.rest[1:2] in ("[", "{"):
            return stop.here(
                "A space is missing after this colon.", "Write a colon, a space and the value."
            )
        return stop.here(
            "A value is missing after this colon.",
            "Write a space and the value after it, or delete the name.",
        )
    if not stop.said("a flow"):
        return None
    if stop.said("expected ','") and stop.line == stop.since[0]:
        return stop.here(
            f"A comma or the closing {'}' if stop.said('mapping') else ']'} is missing here.",
            "Separate the items with commas. An item that contains a comma or colon needs quotes.",
        )
    if stop.said("node content") and stop.rest:
        return stop.here(
            "Something is missing between these two characters.",
            "Delete the extra comma, or write what belongs before it.",
        )
    opened = [stop.since]
    for token in stop.tokens():
        if isinstance(token, yaml.FlowSequenceStartToken | yaml.FlowMappingStartToken):
            opened.append((token.start_mark.line, token.start_mark.column))
        elif isinstance(token, yaml.FlowSequenceEndToken | yaml.FlowMappingEndToken):
            opened.pop()
    line, column = opened[-1]
    sign = stop.lines[line][column : column + 1]
    hint = f"Write {'}' if sign == '{' else ']'} at the end of the list."
    if " #" in stop.lines[line]:
        hint += " What follows a # does not count; put a text with a # in it in quotes."
    return _Error(line, column, f"The bracket {sign} that opens here is never closed.", hint)


def _colon(stop: _Stop) -> _Error | None:
    """A colon where none can stand: a second one, or a line above that is no field."""
    if stop.said("could not find expected ':'"):
        return _no_field(stop.lines, stop.since[0]) or _without_colon(stop.lines, stop.since[0])
    if not stop.said("mapping values"):
        return None
    head, _, value = stop.text.partition(": ")
    if value and stop.column > len(head):
        return stop.here(
            "There is a second colon on this line.",
            f"{_QUOTES}: {clip(head.strip())}: {quoted(clip(value))}",
        )
    above = next((n for n in range(stop.line - 1, -1, -1) if stop.lines[n].strip()), None)
    if above is not None and (found := _no_field(stop.lines, above)):
        return found
    return _Error(
        stop.line,
        len(stop.text) - len(stop.text.lstrip()),
        "This line is indented further than the field above it.",
        "Begin the fields of one group in the same column. A text that goes on to a second line"
        " and has a colon in it needs quotes.",
    )


def _out_of_line(stop: _Stop) -> _Error | None:
    """Something else than the next field or item where one should begin."""
    expected = ("expected key", "'-' indicator", "<document start>", "block end", "indentation")
    if not stop.said(*expected):
        return None
    if stop.said("<document start>"):  # the text began with something else than fields
        first = next(n for n, line in enumerate(stop.lines) if line.strip() and line[0] != "#")
        if found := _no_field(stop.lines, first):
            return found
    if stop.text[stop.column : stop.column + 1] == ":":
        return stop.here(
            "A name is missing before this colon.", "Write the field's name, or delete the line."
        )
    if stop.text[: stop.column].strip():
        return stop.here(
            "More text follows a closing quote or bracket.",
            "Put the whole text in one pair of quotes. A double quote inside double quotes is"
            ' written \\", a single quote inside single quotes is written twice.',
        )
    return stop.here(
        "This line does not line up with the lines above it.",
        "Begin the fields of one group, and the items of one list, in the same column.",
    )


_TOO_DEEP = (
    "Fields are nested far too deep here.",
    "Nothing in a handbook needs that; look for extra brackets or spaces.",
    "yaml-depth",
)
_PERCENT = ("A line cannot begin with %.", "Delete the line, or put the text in quotes.")

#: Words of the parser; whether what it was reading is shown, or else where it stopped; what an
#: author is told. `{}` stands for the character there.
_PHRASES: tuple[tuple[Any, ...], ...] = (
    (("nesting depth",), False, *_TOO_DEEP),
    (
        ("another document",),
        False,
        "A second set of fields begins here.",
        "Keep one: delete this line, or move what follows into a file of its own.",
        "yaml-feature",
    ),
    (
        ("block sequence entries",),
        False,
        "A list cannot begin in the middle of a line.",
        "Write the list in brackets, [one, two], or give each item a line of its own that begins"
        " with a dash and a space. Put a text that begins with a dash in quotes.",
    ),
    (
        ("escape", "Unicode character"),
        False,
        "A backslash has a special meaning inside double quotes.",
        "Write \\\\ for a backslash, or use single quotes.",
    ),
    (
        ("block scalar",),
        True,
        "Nothing may follow | or > on the same line.",
        "Begin the text on the next line, indented by two spaces; or put it in quotes here.",
    ),
    (("directive",), True, *_PERCENT),
    (
        ("cannot start any token", "alphabetic or numeric", "tag", "node content", "URI"),
        True,
        'A text without quotes cannot begin with "{}".',
        f"{_QUOTES}.",
    ),
)


def _no_fields(text: str, number: int) -> _Error:
    """For a text that is something else than fields."""
    lines = text.split("\n")
    if ":" in text and (found := _no_field(lines, number)):
        return found
    column = len(lines[number]) - len(lines[number].lstrip())
    return _Error(number, column, "Fields should be here, but this is something else.", _FIELD)


def _no_field(lines: list[str], number: int) -> _Error | None:
    """A line without a colon, or without a space after it: `title:Slack water`."""
    line = lines[number]
    if ":" not in line:
        return _without_colon(lines, number)
    found = re.fullmatch(r"\s*(?:- )?([A-Za-z_][\w-]*):(?=[^\s/])(.*)", line)
    if not found:
        return None
    value = clip(found[2])
    try:
        plain = " #" not in value and bool(yaml.compose(f"a: {value}", Loader=_Loader))
    except yaml.YAMLError:
        plain = False
    return _Error(
        number,
        found.start(2) - 1,
        "A space is missing after this colon.",
        f"Write: {found[1]}: {value if plain else quoted(value)}",
    )


def _without_colon(lines: list[str], number: int) -> _Error:
    column = len(lines[number]) - len(lines[number].lstrip())
    return _Error(number, column, "This line has no colon.", _FIELD)
