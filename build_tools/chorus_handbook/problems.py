"""The type `Problem`: one thing that is wrong in a handbook, as `handbook check` reports it.

Every stage reports what it finds as problems: where it is, its code, what is wrong, and what to do.
`CODES` lists all codes and says which are errors and which are notices (advice). Each code has a
section in `docs/problems.md`. `report` prints problems.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

Severity = Literal["error", "notice"]

#: Every code with its severity. An error is something that cannot be read, or a claim that is
#: not true; a notice is advice, which an author may silence by giving a reason.
CODES: dict[str, Severity] = {
    # reading files
    "format-newer": "error",
    "file-missing": "error",
    "file-encoding": "error",
    "file-character": "error",
    "file-empty": "error",
    "file-size": "error",
    "file-name": "error",
    "file-place": "error",
    "file-unknown": "notice",
    "folder-unreadable": "error",
    "static-file": "error",
    # YAML and front matter
    "front-matter": "error",
    "yaml-syntax": "error",
    "yaml-duplicate": "error",
    "yaml-feature": "error",
    "yaml-depth": "error",
    "field-unknown": "error",
    "field-missing": "error",
    "field-value": "error",
    "word-unknown": "error",
    "answer-idle": "notice",
    # the body of an entry
    "html-unsafe": "error",
    "link-unsafe": "error",
    "link-broken": "error",
    "link-heading": "notice",
    "markdown-depth": "error",
    "fence": "error",
    "placeholder": "error",
    "say-length": "notice",
    # notation
    "score-file": "error",
    "notation-token": "error",
    "notation-line": "error",
    "notation-header": "error",
    "notation-voice": "error",
    "notation-size": "error",
    "bar-length": "error",
    "voice-length": "error",
    "syllable-count": "error",
    "round": "error",
    # claims against what was measured
    "range-claim": "error",
    "voices-claim": "error",
    "motion-claim": "notice",
    "tuning-claim": "error",
    "minutes-claim": "notice",
    "steps-claim": "notice",
    "step-time": "notice",
    "level-claim": "notice",
    "impact-lowest": "error",
    "crossed-voices": "notice",
    "round-dissonance": "notice",
    "phrase-length": "notice",
    "ladder-start": "error",
    "ladder-out": "error",
    "ladder-edge": "notice",
    "sound-reach": "notice",
    "sound-length": "notice",
    # all exercises together
    "exercises-missing": "error",
    "track-missing": "notice",
    "related-unknown": "error",
    "title-twice": "error",
    "plain-twice": "notice",
    "slug-twice": "error",
    # views
    "view-field": "error",
    "view-condition": "error",
    "view-empty": "notice",
    # warm-ups and routines
    "exercise-unknown": "error",
    "warmup-date": "error",
    "warmup-keys": "error",
    "warmup-twice": "error",
    "warmup-voices": "error",
    "warmup-room": "notice",
    "warmup-strong": "notice",
    "warmup-extremes": "notice",
    "warmup-leap": "notice",
    "warmup-time": "notice",
    "warmup-harmony": "notice",
    "warmup-body": "notice",
    "warmup-close": "notice",
    "warmup-level": "notice",
    "warmup-new": "notice",
    "warmup-running": "notice",
    "warmup-formation": "notice",
    "warmup-parts": "notice",
    "warmup-join-in": "notice",
    "warmup-arrival": "notice",
    "warmup-length": "notice",
    "warmup-occasion": "notice",
    "warmup-phrase": "notice",
    "warmup-seated": "notice",
    "warmup-from-above": "notice",
    "warmup-stillness": "notice",
    # engraving
    "engraving": "error",
    # sound
    "instrument": "error",
    "sound-font": "error",
}


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A spot in a file. `path` is relative to the project; `line` and `column` count from 1. In a
    MusicXML file, which nobody reads as text, `bar` says where it is in the music: "bar 7 of Alto".
    Two places are equal even if their `bar` differs."""

    path: str
    line: int = 1
    column: int = 1
    bar: str = field(default="", compare=False)

    def at(self, line: int, column: int = 1) -> Place:
        """The same file, another spot."""
        return Place(self.path, line, column)


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing that is wrong. The `message` says what, the `hint` what to do about it. Problems
    sort by place. When the place has a `bar`, the message is made to begin with it. Raises
    ValueError for a code that is not in `CODES`."""

    place: Place
    code: str
    message: str
    hint: str

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"{self.code!r} is not a problem code; add it to CODES and the docs")
        bar = self.place.bar
        start = f"{bar[:1].upper()}{bar[1:]}: "
        if bar and not self.message.startswith(start):
            object.__setattr__(self, "message", start + self.message)

    @property
    def severity(self) -> Severity:
        """Whether this is an error or a notice."""
        return CODES[self.code]


def has_errors(problems: Iterable[Problem]) -> bool:
    """Whether any of the problems is an error."""
    return any(problem.severity == "error" for problem in problems)


def in_quotes(words: Iterable[str]) -> str:
    """The words in quotation marks, as a hint lists them: `"alto", "bass"`."""
    return ", ".join(f'"{word}"' for word in words)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """`' Did you mean "x"?'` when `word` is nearly one of the known words, else an empty string."""
    close = difflib.get_close_matches(word.lower(), list(known), n=1, cutoff=0.6)
    return f' Did you mean "{close[0]}"?' if close else ""
