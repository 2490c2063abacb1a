"""Formats problems for the output of `handbook check`: as text, as JSON, as SARIF, or as commands
that GitHub shows beside the lines of a change."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any
from urllib.parse import quote

from chorus_handbook import __version__
from chorus_handbook.problems import CODES, Place, Problem, Severity

_SARIF_SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
#: What SARIF calls each severity.
_SARIF_LEVELS: dict[Severity, str] = {"error": "error", "notice": "note"}


def as_text(problems: Iterable[Problem]) -> str:
    """Two lines for each problem: `path:line:column: error[code] message`, then the hint."""
    return "\n".join(f"{_head(problem)}\n    {problem.hint}" for problem in problems)


def as_json(problems: Iterable[Problem]) -> str:
    """A JSON list of objects with path, line, column, severity, code, message and hint."""
    rows = [
        {
            "path": problem.place.path,
            "line": problem.place.line,
            "column": problem.place.column,
            "severity": problem.severity,
            "code": problem.code,
            "message": problem.message,
            "hint": problem.hint,
        }
        for problem in problems
    ]
    return json.dumps(rows, indent=1)


def as_github(problems: Iterable[Problem]) -> str:
    """GitHub workflow commands, which GitHub shows beside the lines of a change."""
    return "\n".join(
        f"::{'error' if p.severity == 'error' else 'warning'} file={_quoted(p.place.path, ':,')},"
        f"line={p.place.line},col={p.place.column},title={p.code}::"
        f"{_quoted(f'{p.message} {p.hint}')}"
        for p in problems
    )


def as_sarif(problems: Iterable[Problem]) -> str:
    """A log in the Static Analysis Results Interchange Format, SARIF 2.1.0 (OASIS), which editors
    and code hosts read. Paths are relative to the project; columns count characters."""
    listed = list(problems)
    codes = sorted({problem.code for problem in listed})
    driver = {
        "name": "Chorus Handbook",
        "semanticVersion": __version__,
        "rules": [
            {"id": code, "defaultConfiguration": {"level": _SARIF_LEVELS[CODES[code]]}}
            for code in codes
        ],
    }
    results = [
        {
            "ruleId": problem.code,
            "ruleIndex": codes.index(problem.code),
            "level": _SARIF_LEVELS[problem.severity],
            "message": {"text": f"{problem.message} {problem.hint}"},
            "locations": [{"physicalLocation": _spot(problem.place)}],
        }
        for problem in listed
    ]
    log = {
        "$schema": _SARIF_SCHEMA,
        "version": "2.1.0",
        "runs": [
            {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}
        ],
    }
    return json.dumps(log, indent=1)


def _spot(place: Place) -> dict[str, Any]:
    """The place of a problem as SARIF writes it."""
    return {
        "artifactLocation": {"uri": quote(place.path), "uriBaseId": "SRCROOT"},
        "region": {"startLine": place.line, "startColumn": place.column},
    }


def summary(problems: Sequence[Problem]) -> str:
    """One line: "2 errors, 1 notice."."""
    if not problems:
        return "No problems found."
    errors = sum(problem.severity == "error" for problem in problems)
    counts = ((errors, "error"), (len(problems) - errors, "notice"))
    return ", ".join(f"{n} {word}{'' if n == 1 else 's'}" for n, word in counts if n) + "."


def _head(problem: Problem) -> str:
    """The first line of a problem: place, severity, code and message."""
    place = problem.place
    where = f"{place.path}:{place.line}:{place.column}"
    return f"{where}: {problem.severity}[{problem.code}] {problem.message}"


def _quoted(text: str, more: str = "") -> str:
    """The text with the percent escapes that GitHub workflow commands need. `more` lists further
    characters to escape."""
    for sign in "%\r\n" + more:
        text = text.replace(sign, f"%{ord(sign):02X}")
    return text
