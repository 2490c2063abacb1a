"""Parses YAML, and explains syntax errors to authors who have never heard of YAML.

PyYAML's messages ("mapping values are not allowed in this context") say where the parser stopped,
but the mistake is often a line earlier. So a rule for each common mistake looks at the text around
that point: `_tab`, `_quote`, `_bracket`, `_colon` (missing, second, or without a space after it),
`_out_of_line` (wrong indentation). For other errors, `_PHRASES` translates PyYAML's message.
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
    """The YAML loader, which keeps every value as it was written; `scalars` decides its meaning."""

    def resolve(self, *_: object) -> str:
        return ""


#: Turns a line and column of the text, counted from 0, into the place in the file.
At = Callable[[int, int], Place]
#: A directive (%) at the start of a text; only comments may be before it (YAML 1.2.2, section 6.8).
_DIRECTIVE = re.compile(r"(?:[ \t]*(?:#.*)?\n)*%")
_FIELD = 'Write a field as a name, a colon, a space and a value, such as "title: Slack water".'
_QUOTES = "Put the whole text in quotes"
_SAME_QUOTE = "Write the same quote at the end of the text."


class _Error(NamedTuple):
    """A syntax error with its message and hint. Line and column count from 0 in the text."""

    line: int
    column: int
    message: str
    hint: str
    code: str = "yaml-syntax"

    def problem(self, at: At) -> Problem:
        return Problem(at(self.line, self.column), self.code, self.message, self.hint)


def compose(text: str) -> yaml.Node | None:
    """The root node of a YAML text; None if the text is empty. Raises yaml.YAMLError."""
    node: yaml.Node | None = yaml.compose(text, Loader=_Loader)
    return node


def parse(text: str, at: At) -> tuple[yaml.MappingNode | None, Problem | None]:
    """Parse a text that should consist of fields. `at` gives the places of problems.

    Returns the node with the fields (None for an empty text) and no problem; or None and the first
    syntax error.
    """
    try:
        root = compose(text)
    except yaml.MarkedYAMLError as error:
        return None, _describe(_Stop(error, text)).problem(at)
    except RecursionError:  # PyYAML's loader in Python, used without the one in C, has no limit
        return None, _Error(0, 0, *_TOO_DEEP).problem(at)
    if directive := _DIRECTIVE.match(text):
        return None, _Error(directive[0].count("\n"), 0, *_PERCENT).problem(at)
    if root is None or isinstance(root, yaml.MappingNode):
        return root, None
    if text[root.start_mark.index :].rstrip() in ("", "~", "null"):
        return None, None
    return None, _no_fields(text, root.start_mark.line).problem(at)


def refused(sign: str) -> tuple[str, str, str]:
    """The code, message and hint for an anchor, an alias or a tag, which is written as `sign`."""
    does = {
        "&": "names a value so that others can refer to it",
        "*": "refers to another value",
        "!": "gives a value a type",
    }
    return (
        "yaml-feature",
        f'A value cannot begin with "{sign[0]}": in YAML, "{clip(sign.rstrip(":"))}" '
        f"{does[sign[0]]}, which a handbook does not use.",
        "If it is meant as text, put the whole value in quotes.",
    )


class _Stop:
    """What is known about a text that PyYAML could not parse: PyYAML's message (`complaint`), the
    `line` and `column`, from 0, at which it stopped, and where the element begins that it was
    reading (`since`). The `whole` text has the `lines`; `text` is the line at which it stopped."""

    def __init__(self, error: yaml.MarkedYAMLError, text: str) -> None:
        stopped = error.problem_mark or error.context_mark
        since = error.context_mark or error.problem_mark
        assert stopped and since  # PyYAML always gives at least one of the two
        self.complaint = f"{error.context}: {error.problem}"
        self.line, self.column = stopped.line, stopped.column
        self.since = since.line, since.column
        self.whole, self.lines = text, [*text.split("\n"), ""]
        self.text = self.lines[self.line]

    @property
    def rest(self) -> str:
        """The text after the point where PyYAML stopped, without space around it."""
        return "\n".join([self.text[self.column :], *self.lines[self.line + 1 :]]).strip()

    def complains_of(self, *phrases: str) -> bool:
        """Whether PyYAML's message contains any of these phrases."""
        return any(phrase in self.complaint for phrase in phrases)

    def here(self, message: str, hint: str) -> _Error:
        """An error at the point where PyYAML stopped."""
        return _Error(self.line, self.column, message, hint)

    def tokens(self) -> Iterator[Any]:
        """PyYAML's tokens up to the point where it stopped."""
        try:
            for token in yaml.scan(self.whole, Loader=_Loader):
                if (token.start_mark.line, token.start_mark.column) >= (self.line, self.column):
                    return
                yield token
        except yaml.YAMLError:
            return


def _describe(stop: _Stop) -> _Error:
    """The explanation of a syntax error, by the first rule below that recognises the mistake."""
    if stop.complains_of("undefined alias", "duplicate anchor"):
        code, message, hint = refused(re.split(r"[\s,\[\]{}]", stop.rest)[0])
        return _Error(stop.line, stop.column, message, hint, code)
    for rule in (_tab, _quote, _bracket, _colon, _out_of_line):
        if found := rule(stop):
            return found
    for phrases, since, message, *rest in _PHRASES:
        line, column = stop.since if since else (stop.line, stop.column)
        sign = stop.lines[line][column : column + 1]
        if stop.complains_of(*phrases) and ("{}" not in message or sign.strip()):
            return _Error(line, column, message.replace("{}", sign), *rest)
    return stop.here(
        "The fields cannot be read from here on.",
        "Check this line and the one above: each field is a name, a colon, a space and a value."
        " Put a text with special characters in quotes.",
    )


def _tab(stop: _Stop) -> _Error | None:
    """The error of a line that is indented with a tab, if that is the mistake."""
    indent = stop.text[: len(stop.text) - len(stop.text.lstrip())]
    if "\t" not in indent or stop.complains_of("quoted"):
        return None
    return _Error(
        stop.line,
        indent.index("\t"),
        "This line is indented with a tab; only spaces are allowed.",
        "Delete the tab, or write two spaces in its place if the line belongs to the field above.",
    )


def _quote(stop: _Stop) -> _Error | None:
    """The error of a quote that is never closed, or closed by the opening quote of a line below."""
    if stop.complains_of("quoted scalar") and stop.complains_of(
        "end of stream", "document indicator"
    ):
        return _Error(*stop.since, "The quote that opens here is never closed.", _SAME_QUOTE)
    if not stop.complains_of("expected key", "expected ','", "'-' indicator"):
        return None
    texts = [token for token in stop.tokens() if getattr(token, "style", None) in ("'", '"')]
    if not texts or not texts[-1].start_mark.line < texts[-1].end_mark.line == stop.line:
        return None
    opened = texts[-1].start_mark.line, texts[-1].start_mark.column
    return _Error(*opened, "The quote that opens here is not closed on this line.", _SAME_QUOTE)


def _bracket(stop: _Stop) -> _Error | None:
    """The error of a bracket that is never closed, or of something missing within brackets."""
    if stop.complains_of("unexpected ':'"):
        if stop.rest[1:2] in ("[", "{"):
            return stop.here(
                "A space is missing after this colon.", "Write a colon, a space and the value."
            )
        return stop.here(
            "A value is missing after this colon.",
            "Write a space and the value after it, or delete the name.",
        )
    if not stop.complains_of("a flow"):
        return None
    if stop.complains_of("expected ','") and stop.line == stop.since[0]:
        closing = "}" if stop.complains_of("mapping") else "]"
        return stop.here(
            f'A comma or the closing "{closing}" is missing here.',
            "Write commas between the items. Put an item that contains a comma or colon in quotes.",
        )
    if stop.complains_of("node content") and stop.rest:
        return stop.here(
            "There is nothing between two commas, or between a bracket and a comma, here.",
            "Delete the extra comma, or write an item before it.",
        )
    opened = [stop.since]
    for token in stop.tokens():
        if isinstance(token, yaml.FlowSequenceStartToken | yaml.FlowMappingStartToken):
            opened.append((token.start_mark.line, token.start_mark.column))
        elif isinstance(token, yaml.FlowSequenceEndToken | yaml.FlowMappingEndToken):
            opened.pop()
    line, column = opened[-1]
    sign = stop.lines[line][column : column + 1]
    closing = "}" if sign == "{" else "]"
    hint = f'Write "{closing}" at the end of the list.'
    if " #" in stop.lines[line]:
        hint += ' Put a text that contains "#" in quotes, because "#" begins a comment.'
    return _Error(line, column, f'The bracket "{sign}" that opens here is never closed.', hint)


def _colon(stop: _Stop) -> _Error | None:
    """The error of a second colon in a line, or of a line above that has none."""
    if stop.complains_of("could not find expected ':'"):
        return _no_field(stop.lines, stop.since[0]) or _without_colon(stop.lines, stop.since[0])
    if not stop.complains_of("mapping values"):
        return None
    head, _, value = stop.text.partition(": ")
    if value and stop.column > len(head):
        return stop.here(
            "There is a second colon on this line.",
            f"{_QUOTES}: write {clip(head.strip())}: {quoted(clip(value))}",
        )
    above = next((n for n in range(stop.line - 1, -1, -1) if stop.lines[n].strip()), None)
    if above is not None and (found := _no_field(stop.lines, above)):
        return found
    return _Error(
        stop.line,
        len(stop.text) - len(stop.text.lstrip()),
        "This line is indented further than the field above it.",
        "Indent all fields of one group by the same number of spaces. If this line continues the"
        " text of the line above, put that whole text in quotes.",
    )


def _out_of_line(stop: _Stop) -> _Error | None:
    """The error of something that is neither a field nor an item where one should begin."""
    expected = ("expected key", "'-' indicator", "<document start>", "block end", "indentation")
    if not stop.complains_of(*expected):
        return None
    if stop.complains_of("<document start>"):  # the text began with something else than fields
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
            "Put the whole text in one pair of quotes. Inside double quotes, write a double quote"
            ' as \\"; inside single quotes, write a single quote twice.',
        )
    return stop.here(
        "This line is not indented like the lines above it.",
        "Indent all fields of one group, and all items of one list, by the same number of spaces.",
    )


_TOO_DEEP = (
    "There are far too many levels of fields inside fields here.",
    "No field needs that. Look for extra brackets, or extra spaces before a name.",
    "yaml-depth",
)
_PERCENT = ('A line cannot begin with "%".', "Delete the line, or put the text in quotes.")

#: For each row: phrases of PyYAML's message; whether to report the error where the element begins
#: (otherwise, where PyYAML stopped); our message, hint and, if not "yaml-syntax", code. `{}` in a
#: message is replaced by the character at that place.
_PHRASES: tuple[tuple[Any, ...], ...] = (
    (("nesting depth",), False, *_TOO_DEEP),
    (
        ("another document",),
        False,
        "A second set of fields begins here.",
        "Delete this line of hyphens, or move what follows into a file of its own.",
        "yaml-feature",
    ),
    (
        ("block sequence entries",),
        False,
        "A list cannot begin in the middle of a line.",
        'Write the list in brackets, as in "[one, two]", or give each item a line of its own that'
        " begins with a dash and a space. Put a text that begins with a dash in quotes.",
    ),
    (
        ("escape", "Unicode character"),
        False,
        "A backslash has a special meaning inside double quotes.",
        'Write "\\\\" for a backslash, or use single quotes.',
    ),
    (
        ("block scalar",),
        True,
        'Nothing may follow "|" or ">" on the same line.',
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
    """The error of a text that does not consist of fields."""
    lines = text.split("\n")
    if ":" in text and (found := _no_field(lines, number)):
        return found
    column = len(lines[number]) - len(lines[number].lstrip())
    return _Error(number, column, "There should be a field here, but this is not one.", _FIELD)


def _no_field(lines: list[str], number: int) -> _Error | None:
    """The error of a line without a colon, or without a space after it: `title:Slack water`."""
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
    """The error of a line without a colon."""
    column = len(lines[number]) - len(lines[number].lstrip())
    return _Error(number, column, "This line has no colon.", _FIELD)
