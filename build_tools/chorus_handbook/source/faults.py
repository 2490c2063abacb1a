"""A parser's complaint about a YAML text, and what an author is told instead."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Slip:
    """One fault of the YAML itself; line and column count from 0 within the text."""

    line: int
    column: int
    message: str
    hint: str
    code: str = "yaml-syntax"


@dataclass(frozen=True, slots=True)
class Fault:
    """The parser's complaint: where it stopped, and where what it was reading began."""

    what: str
    while_reading: str
    line: int
    column: int
    since_line: int
    since_column: int
    lines: list[str]

    @property
    def text(self) -> str:
        return self.lines[self.line] if self.line < len(self.lines) else ""

    @property
    def sign(self) -> str:
        return self.text[self.column : self.column + 1]

    @property
    def at_end(self) -> bool:
        return not any(
            line.strip() for line in [self.text[self.column :], *self.lines[self.line + 1 :]]
        )

    def here(self, message: str, hint: str) -> Slip:
        return Slip(self.line, self.column, message, hint)

    def since(self, message: str, hint: str) -> Slip:
        return Slip(self.since_line, self.since_column, message, hint)

    def field_above(self) -> int | None:
        """The nearest line above with something in it."""
        above = range(min(self.line, len(self.lines)) - 1, -1, -1)
        return next((n for n in above if self.lines[n].strip()), None)
