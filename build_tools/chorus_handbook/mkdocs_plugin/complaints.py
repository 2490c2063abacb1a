"""Collects the warnings and errors that MkDocs logs, since its exceptions often only say
"aborted"."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from mkdocs.exceptions import MkDocsException

from chorus_handbook.failures import one_line


class _Listener(logging.Handler):
    """Adds the text of every warning and error that is logged to a list."""

    def __init__(self, messages: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._messages = messages

    def emit(self, record: logging.LogRecord) -> None:
        self._messages.append(record.getMessage())


@contextmanager
def complaints() -> Iterator[list[str]]:
    """A list that receives the warnings and errors that MkDocs logs while the block runs."""
    messages: list[str] = []
    handler = _Listener(messages)
    logger = logging.getLogger("mkdocs")
    logger.addHandler(handler)
    try:
        yield messages
    finally:
        logger.removeHandler(handler)


def reason(failure: BaseException) -> str:
    """Why MkDocs, its theme or a plugin failed, in one line."""
    cause = failure.__cause__ or failure.__context__
    mark = getattr(cause, "problem_mark", None)  # a syntax error in mkdocs.yml
    if mark is not None:
        what = getattr(cause, "problem", "")
        return f"line {mark.line + 1}, column {mark.column + 1}: YAML cannot read this ({what})"
    if isinstance(failure, MkDocsException):
        return " ".join(str(failure).split())
    return one_line(failure)
