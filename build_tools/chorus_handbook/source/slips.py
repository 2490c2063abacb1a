"""What is wrong with a YAML text, said to someone who has never heard of YAML.

The parser's own words ("mapping values are not allowed in this context") name what it stumbled
over; what the author did is usually a line earlier. Each rule here looks at the lines, and says
what was done and what to write instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import yaml

from chorus_handbook.source.bracket_slips import bracket, inner_colon
from chorus_handbook.source.faults import Fault, Slip
from chorus_handbook.source.suggestions import quoted
from chorus_handbook.source.text import clip

_GLUED = re.compile(r"\s*(?:- )?([A-Za-z_][\w-]*):(?=[^\s/])(.*)")
_FIELD = re.compile(r"""\s*(?:- )?[\w"'-]+\s*:(\s|$)""")
_QUOTES = "Put the whole text in quotes."


def slip(error: yaml.MarkedYAMLError, lines: list[str]) -> Slip:
    """The author's words for what the parser found; `lines` is the text that was parsed."""
    mark = error.problem_mark or error.context_mark
    since = error.context_mark or error.problem_mark
    fault = Fault(
        str(error.problem or ""),
        str(error.context or ""),
        mark.line if mark else 0,
        mark.column if mark else 0,
        since.line if since else 0,
        since.column if since else 0,
        lines,
    )
    for rule in _RULES:
        found = rule(fault)
        if found is not None:
            return found
    return fault.here(
        "This text cannot be read from here on.",
        "Compare this line and the one above with an example: a name, a colon, a space, a value;"
        " put a text with special characters in quotes.",
    )


def no_fields(lines: list[str], line: int) -> Slip:
    """For a text that is something else than fields."""
    glued = _glued(lines, line)
    if glued is None and line < len(lines) and ":" not in lines[line] and ":" in "".join(lines):
        return _no_colon(lines, line)
    return glued or Slip(
        line,
        len(lines[line]) - len(lines[line].lstrip()) if line < len(lines) else 0,
        "Fields should be here, but this is something else.",
        "A field is a name, a colon, a space and a value, such as: title: Slack water",
    )


def _glued(lines: list[str], line: int) -> Slip | None:
    """A colon without its space: `title:Slack water`."""
    found = _GLUED.fullmatch(lines[line]) if line < len(lines) else None
    if not found:
        return None
    return Slip(
        line,
        found.start(2) - 1,
        "A space is missing after this colon.",
        f"Write: {found[1]}: {_as_written(found[2])}",
    )


def _depth(fault: Fault) -> Slip | None:
    if "nesting depth" not in fault.what:
        return None
    return Slip(
        fault.line,
        fault.column,
        "Fields are nested far too deep here.",
        "Nothing in a handbook needs that; look for extra brackets or spaces.",
        "yaml-depth",
    )


def _tab(fault: Fault) -> Slip | None:
    indent = re.match(r"[ \t]*", fault.text)
    if indent is None or "\t" not in indent[0] or "quoted" in fault.while_reading:
        return None
    return Slip(
        fault.line,
        indent[0].index("\t"),
        "This line is indented with a tab; YAML needs spaces.",
        "Replace each tab with two spaces.",
    )


def _quote(fault: Fault) -> Slip | None:
    """A quote that is never closed, or closed by the next line's opening quote."""
    if "quoted scalar" in fault.while_reading and (
        "end of stream" in fault.what or "document indicator" in fault.what
    ):
        return fault.since(
            "The quote that opens here is never closed.",
            "Write the same quote at the end of the text.",
        )
    if "expected key" not in fault.what and "expected ','" not in fault.what:
        return None
    for number in range(min(fault.line, len(fault.lines))):
        opened = re.match(r"""\s*(?:- )?[\w-]+:\s+(["'])""", fault.lines[number])
        if opened and opened[1] not in fault.lines[number][opened.end() :]:
            return Slip(
                number,
                opened.end() - 1,
                "The quote that opens here is not closed on this line.",
                "Write the same quote at the end of the text.",
            )
    return None


def _colon(fault: Fault) -> Slip | None:
    """A colon where none can stand: a second one, or a line above that is no field."""
    if "mapping values" not in fault.what:
        return None
    head, _, value = fault.text.partition(": ")
    if value and fault.column > len(head):
        return fault.here(
            "There is a second colon on this line.",
            f"{_QUOTES[:-1]}: {clip(head.strip())}: {quoted(clip(value))}",
        )
    above = fault.field_above()
    if above is not None:
        broken = _glued(fault.lines, above)
        if broken:
            return broken
        if not _FIELD.match(fault.lines[above]) and ":" not in fault.lines[above]:
            return _no_colon(fault.lines, above)
    return Slip(
        fault.line,
        len(fault.text) - len(fault.text.lstrip()),
        "This line is indented further than the field above it.",
        "Begin the fields of one group in the same column. A text that goes on to a second line"
        " and has a colon in it needs quotes.",
    )


def _simple_key(fault: Fault) -> Slip | None:
    if "could not find expected ':'" not in fault.what:
        return None
    return _glued(fault.lines, fault.since_line) or _no_colon(fault.lines, fault.since_line)


def _no_colon(lines: list[str], line: int) -> Slip:
    text = lines[line] if line < len(lines) else ""
    return Slip(
        line,
        len(text) - len(text.lstrip()),
        "This line has no colon.",
        "A field is a name, a colon, a space and a value, such as: title: Slack water",
    )


def _dash(fault: Fault) -> Slip | None:
    if "block sequence entries" not in fault.what:
        return None
    return fault.here(
        "A list cannot begin in the middle of a line.",
        "Write the list in brackets, [one, two], or give each item a line of its own that begins"
        " with a dash and a space. Put a text that begins with a dash in quotes.",
    )


def _first_sign(fault: Fault) -> Slip | None:
    """A bare text that begins with a sign YAML has a use for."""
    beginnings = ("cannot start any token", "alphabetic or numeric", "tag", "node content", "URI")
    if not any(beginning in f"{fault.what} {fault.while_reading}" for beginning in beginnings):
        return None
    at_start = "node" in fault.while_reading or "token" in fault.while_reading
    line, column = (
        (fault.line, fault.column) if at_start else (fault.since_line, fault.since_column)
    )
    sign = fault.lines[line][column : column + 1] if line < len(fault.lines) else ""
    if not sign.strip():
        return None
    return Slip(line, column, f'A text without quotes cannot begin with "{sign}".', _QUOTES)


def _escape(fault: Fault) -> Slip | None:
    if "escape" not in fault.what and "Unicode character" not in fault.what:
        return None
    return fault.here(
        "A backslash has a special meaning inside double quotes.",
        "Write \\\\ for a backslash, or use single quotes.",
    )


def _block_text(fault: Fault) -> Slip | None:
    if "block scalar" not in fault.while_reading:
        return None
    return fault.since(
        "Nothing may follow | or > on the same line.",
        "Begin the text on the next line, indented by two spaces; or put it in quotes here.",
    )


def _percent(fault: Fault) -> Slip | None:
    if "directive" not in fault.while_reading and "directive" not in fault.what:
        return None
    return fault.since("A line cannot begin with %.", "Delete the %, or put the text in quotes.")


def _out_of_line(fault: Fault) -> Slip | None:
    expected = ("expected key", "'-' indicator", "<document start>", "block end", "indentation")
    if not any(words in fault.what for words in expected):
        return None
    if fault.sign == ":":
        return fault.here(
            "A name is missing before this colon.", "Write the field's name, or delete the line."
        )
    if fault.text[: fault.column].strip():
        return fault.here(
            "More text follows a closing quote or bracket.",
            "Put the whole text in one pair of quotes. A double quote inside double quotes is"
            ' written \\", a single quote inside single quotes is written twice.',
        )
    return fault.here(
        "This line does not line up with the lines above it.",
        "Begin the fields of one group, and the items of one list, in the same column.",
    )


def _as_written(text: str) -> str:
    """A value as its author wrote it; in quotes where it would be a fault without them."""
    bare = clip(text)
    try:
        yaml.safe_load(f"a: {bare}")
    except yaml.YAMLError:
        return quoted(bare)
    return quoted(bare) if " #" in bare else bare


#: In this order: the first rule that knows the fault has the word.
_RULES: tuple[Callable[[Fault], Slip | None], ...] = (
    _depth,
    _tab,
    _quote,
    inner_colon,
    bracket,
    _colon,
    _simple_key,
    _dash,
    _escape,
    _block_text,
    _percent,
    _first_sign,
    _out_of_line,
)
