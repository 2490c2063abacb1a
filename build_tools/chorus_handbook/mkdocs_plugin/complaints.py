"""What MkDocs has to say about a build: its exceptions only tell that something was wrong."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from mkdocs.exceptions import MkDocsException

from chorus_handbook.failures import one_line


class _Listener(logging.Handler):
    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._said = said

    def emit(self, record: logging.LogRecord) -> None:
        self._said.append(record.getMessage())


@contextmanager
def complaints() -> Iterator[list[str]]:
    """What MkDocs logs as wrong while the block runs."""
    said: list[str] = []
    handler = _Listener(said)
    logger = logging.getLogger("mkdocs")
    logger.addHandler(handler)
    try:
        yield said
    finally:
        logger.removeHandler(handler)


def reason(failure: BaseException) -> str:
    """Why MkDocs, its theme or a plugin gave up, in one line."""
    cause = failure.__cause__ or failure.__context__
    mark = getattr(cause, "problem_mark", None)  # a fault of the YAML itself
    if mark is not None:
        what = getattr(cause, "problem", "")
        return f"line {mark.line + 1}, column {mark.column + 1}: YAML cannot read this ({what})"
    if isinstance(failure, MkDocsException):
        return " ".join(str(failure).split())
    return one_line(failure)
