"""Music that would be printed instead of sung: notation outside a fence, and marks that open none.

A slip in the line above the music (three quotes for three backticks, no word behind them, no such
line at all) leaves a valid Markdown text. Nothing but its look tells that it was meant for
singing, so a line counts as music only when it could hardly be anything else: nearly every sign in
it is one of the notation, and a bar line or a singer's name says the rest. Counting aloud, times,
tables and lists of numbers are text. Whoever wants notation as text can have it: between
backticks, or in a fence called `text`.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.body import KINDS
from chorus_handbook.entries.fences import Fence, mark
from chorus_handbook.entries.model import Entries
from chorus_handbook.entries.prose import Prose
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import clip

#: Words behind the marks of a fence that is meant to be read, whatever stands in it.
_TO_BE_READ = frozenset("text txt plain markdown md yaml yml".split())
#: Who sings, in the words of any chorus; its own voices and groups are added.
_SINGERS = frozenset(
    "all others leader everyone everybody tutti soprano sopranos alto altos tenor tenors bass "
    "basses baritone baritones treble trebles men women".split()
)
_INITIALS = frozenset("satb")

_SHARE = r"[#b♯♭]?[0-7x\-–][',’]*[?~^]*"
_BEAT = re.compile(rf"{_SHARE}(?:[.~]{_SHARE})*")
_SOUND = re.compile(r"[1-7x]")
_SIGN = re.compile(r"\|+|v\??|pp?|m[pf]|ff?|[<>]|\.\.\.|…")
#: What is often written for degrees: digits run together, letters, sol-fa syllables.
_ALMOST = re.compile(
    r"[0-9]{2,8}|[A-Ga-g][#b]?[',]*[0-9]?|(?:do|re|mi|fa|sol?|la|ti)[',]*", re.IGNORECASE
)
_NAMED = re.compile(r"\**([^\W\d][\w+&/ -]{0,30}?)\**[ \t]*:\**[ \t]+(\S.*)")
_LIST = re.compile(r"(?:[-+*>]|\d{1,3}\.)[ \t]+")
_HEADER = re.compile(
    r"meter:[ \t]*(?:free|\d+[ \t]*/[ \t]*\d+)|pickup:[ \t]*\d+|mode:[ \t]*[a-z]+"
    r"|octave:[ \t]*[\w-]+[ \t]+[+-]?\d"
)
#: A line of words that could be no sentence: held, divided, or the same syllable again.
_WORDS = re.compile(r"words:.*(?:[ \t](?:\.\.\.|…|_+|\*)(?:[ \t]|$)|\w-\w+-\w|\b(\w+)[ \t]+\1\b).*")
_TABLE_RULE = re.compile(r"[ \t]*\|?[ \t]*:?-{2,}[ \t|:-]*")

_ABC_NUMBER = re.compile(r"X:[ \t]*\d+[ \t]*")
_ABC_FIELD = re.compile(r"[A-Za-z]:[ \t]*\S.*")
_ABC_KEY = re.compile(r"K:[ \t]*(?:[A-G][#b]?[ \t]*[A-Za-z]{0,10}\b.*|none)")
_ABC_MUSIC = re.compile(
    r"[A-Ga-gzZxy0-9,'/|:\[\]()^_=\s~<>.{}-]*\|[A-Ga-gzZxy0-9,'/|:\[\]()^_=\s~<>.{}-]*"
)

_MARKS = re.compile(
    r"[ \t]*(?:(?:[-+*>]|\d{1,3}\.)[ \t]+)*"
    r"(?P<marks>[`´]|[`'\"´‘’‚‛“”„‟′″‴‵~˜～∼]{2,12}|[-–—=:]{3,12})"
    r"[ \t]*\{?\.?(?P<word>[A-Za-z]{2,12})\}?[ \t]*"
)
_ONLY_MARKS = re.compile(r"[ \t]*[`'\"´‘’‚‛“”„‟′″‴‵~˜～∼:=–—-]{2,12}[ \t]*")
_REAL_MARKS = re.compile(r"`{3,}|~{3,}")

_AS_TEXT = "To show it as text, open the fence with ```text instead."


def check_stray_notation(entries: Entries, prose: Prose, chorus: Chorus | None) -> list[Problem]:
    """Music in the text of exercises and pages, one problem for each place."""
    names = _SINGERS | ({*chorus.voices, *chorus.groups} if chorus else set())
    problems: list[Problem] = []
    for source in entries.sources:
        advice = _SECOND if source.notation else _FENCE_IT
        for section in source.sections:
            problems += stray_notation(section.markdown, section.place, names, advice)
    for page in prose.pages:
        problems += stray_notation(page.markdown, page.place, names, _MOVE_IT)
    return problems


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do about music in a text of one kind. `degrees` and `abc` are what to write for each
    notation; `page`: the text has no place for music at all."""

    degrees: str
    abc: str
    page: bool = False


def _fence_it(kind: str) -> str:
    return (
        f"Put a line with three backticks and the word {kind} above the music, ```{kind}, and "
        "three backticks alone on a line below it."
    )


_FENCE_IT = Advice(_fence_it("degrees"), _fence_it("abc"))
_ONE = (
    "One exercise has one notation: make another exercise of this and name it under related. "
    + _AS_TEXT
)
_SECOND = Advice(_ONE, _ONE)
_ELSEWHERE = f"Music belongs in a file in exercises/; link to that here. {_AS_TEXT}"
_MOVE_IT = Advice(_ELSEWHERE, _ELSEWHERE, page=True)


def stray_notation(
    markdown: str, place: Place, names: Collection[str], advice: Advice = _FENCE_IT
) -> list[Problem]:
    """Music in Markdown whose first line stands at `place` and out of which the notation has been
    cut. `names` are those of singers."""
    return list(_Text(markdown, place, names, advice).problems())


class _Text:
    def __init__(self, markdown: str, place: Place, names: Collection[str], advice: Advice) -> None:
        marked = mark(markdown)
        self._lines = marked.text.split("\n")
        self._fences = marked.fences
        self._place = place
        self._names = names
        self._advice = advice
        self._closed: set[int] = set()
        for fence in marked.fences:
            if fence.last is not None:
                self._closed |= set(range(fence.first, fence.last + 1))
            elif not advice.page:  # an exercise's own check says that it is never closed
                self._closed |= set(range(fence.first, len(self._lines)))
        self._tables = _table_rows(self._lines)

    def problems(self) -> Iterator[Problem]:
        for fence in self._fences:
            found = self._in_fence(fence)
            if found:
                yield self._problem(fence.first, *found)
        number = 0
        while number < len(self._lines):
            found = None if number in self._closed else self._at(number)
            if found is None:
                number += 1
                continue
            yield self._problem(number, *found)
            number = self._after(number + 1)

    def _problem(self, number: int, message: str, hint: str) -> Problem:
        line = self._lines[number]
        column = 1 + len(line) - len(line.lstrip())
        return Problem(self._place.at(self._place.line + number, column), "fence", message, hint)

    def _in_fence(self, fence: Fence) -> tuple[str, str] | None:
        """A closed fence whose word, or want of one, leaves its music to be read."""
        if fence.last is None:
            return None
        word = fence.info.split(maxsplit=1)[0].strip("{}.").lower() if fence.info else ""
        if word in _TO_BE_READ:
            return None
        if word in KINDS:  # on a page; in an exercise it was cut out
            return ("On this page the music would be printed, not sung.", self._advice.degrees)
        inside = range(fence.first + 1, fence.last)
        kind = next((kind for n in inside if (kind := self._kind(n))), None)
        if kind is None or (word and did_you_mean(word, KINDS) and not self._advice.page):
            return None  # the slip in the word is told where fences are read
        if self._advice.page:
            return ("On this page the music would be printed, not sung.", self._advice.degrees)
        what = f'is called "{clip(word)}"' if word else "has no word behind its marks"
        return (
            f"This fence {what}, so the music in it would be printed, not sung.",
            f"Write {fence.marks}{kind} on this line. {_AS_TEXT}"
            if self._advice is _FENCE_IT
            else self._advice.degrees,
        )

    def _at(self, number: int) -> tuple[str, str] | None:
        line = self._lines[number]
        found = _MARKS.fullmatch(line)
        if found and (kind := _meant(found["word"])):
            if _REAL_MARKS.fullmatch(found["marks"]) and not line.startswith(found["marks"]):
                return (
                    "This fence is indented, so it would be printed, not sung.",
                    f"Begin the line with the marks, at the edge: {found['marks']}{kind}",
                )
            if not _REAL_MARKS.fullmatch(found["marks"]):
                hint = self._advice.abc if kind == "abc" else self._advice.degrees
                if self._advice is _FENCE_IT:
                    hint = (
                        f"Write three backticks and the word, ```{kind}, and three backticks "
                        "alone on a line below the music."
                    )
                return (
                    f"{clip(line.strip())} opens no fence, so the music below it would be "
                    "printed, not sung.",
                    hint,
                )
        kind = self._kind(number)
        if kind is None:
            return None
        return (
            "This line looks like music, but it stands in no fence: it would be printed, not sung.",
            self._advice.abc if kind == "abc" else self._advice.degrees,
        )

    def _kind(self, number: int) -> str | None:
        """The notation in which a line is written, if it can hardly be anything else."""
        line = self._lines[number].strip()
        if not line or number in self._tables:
            return None
        if self._is_degrees(number, line):
            return "degrees"
        return "abc" if self._is_abc(number, line) else None

    def _is_degrees(self, number: int, line: str) -> bool:
        begins = number == 0 or not self._lines[number - 1].strip() or number - 1 in self._closed
        if begins and (_HEADER.fullmatch(line) or _WORDS.fullmatch(line)):
            return True
        if line.startswith("words:"):
            return begins and self._kind_below(number) == "degrees"
        listed = _LIST.match(line)
        named = _NAMED.fullmatch(line[listed.end() :] if listed else line)
        if named:
            name = named[1].strip().lower()
            singers = re.split(r"[ \t]*(?:[+&/]|\band\b)[ \t]*", name)
            initial = name in _INITIALS and "|" in named[2]
            known = initial or all(singer in self._names for singer in singers)
            return _sung_by(named[2], known=known, listed=listed is not None)
        return listed is None and _Signs(line).alone()

    def _kind_below(self, number: int) -> str | None:
        """The notation of what the words in this line are sung to."""
        while number < len(self._lines) and self._lines[number].strip().startswith("words:"):
            number += 1
        return self._kind(number) if number < len(self._lines) else None

    def _is_abc(self, number: int, line: str) -> bool:
        """Whether this line begins a header of ABC: fields, with a key among them."""
        if _ABC_NUMBER.fullmatch(line):
            return True
        fields = []
        for text in self._lines[number:]:
            if not _ABC_FIELD.fullmatch(text.strip()):
                break
            fields.append(text.strip())
        below = self._lines[number + len(fields) : number + len(fields) + 1]
        key = any(_ABC_KEY.fullmatch(field) for field in fields)
        return key and (len(fields) > 1 or any(_ABC_MUSIC.fullmatch(text) for text in below))

    def _after(self, number: int) -> int:
        """The first line that no longer belongs to the music which began above."""
        last = number
        while number < len(self._lines) and number not in self._closed:
            line = self._lines[number].strip()
            goes_on = (
                _ONLY_MARKS.fullmatch(line)
                or _HEADER.fullmatch(line)
                or line.startswith("words:")
                or _ABC_FIELD.fullmatch(line)
                or _ABC_MUSIC.fullmatch(line)
                or _goes_on(line)
            )
            if line and not goes_on:
                break
            number += 1
            last = number if line else last
        return last


def _meant(word: str) -> str | None:
    """The kind of notation that is named, or nearly."""
    close = did_you_mean(word, KINDS)
    return next((kind for kind in KINDS if kind == word.lower() or f'"{kind}"' in close), None)


def _table_rows(lines: list[str]) -> set[int]:
    """The lines of tables: a row, a rule below it, and all that follows to the next empty line."""
    rows: set[int] = set()
    for number, line in enumerate(lines):
        if number and "|" in lines[number - 1] and _TABLE_RULE.fullmatch(line):
            end = number
            while end < len(lines) and lines[end].strip():
                end += 1
            rows |= set(range(number - 1, end))
    return rows


def _goes_on(line: str) -> bool:
    """Whether a line below music is music too: what would not be certain alone is so there."""
    named = _NAMED.fullmatch(line)
    signs = _Signs(named[2] if named else line)
    return signs.sounds > 1 or bool(signs.words and not signs.wrong + signs.almost)


class _Signs:
    """The signs of a line, counted. `sounds` are notes and spoken beats, `wrong` is what no
    notation has, `almost` what is often written for a note."""

    def __init__(self, text: str) -> None:
        self.words = text.replace("|", " | ").split()
        self.bars = self.words.count("|")
        self.sounds = self.almost = self.wrong = 0
        for word in self.words:
            if _BEAT.fullmatch(word):
                self.sounds += len(_SOUND.findall(word))
            elif _ALMOST.fullmatch(word) and not _SIGN.fullmatch(word):
                self.almost += 1
            elif not _SIGN.fullmatch(word):
                self.wrong += 1

    @property
    def full_bar(self) -> bool:
        """Whether something longer than a cell of a table stands between bar lines."""
        return any(len(bar.split()) > 1 for bar in " ".join(self.words).split("|"))

    @property
    def listing(self) -> bool:
        """Whether it is a list with commas: 5, 4, 3, 2."""
        return len(self.words) > 1 and all(word.endswith(",") for word in self.words[:-1])

    def alone(self) -> bool:
        """Whether a line without a name can only be music."""
        return bool(
            self.bars and self.full_bar and self.sounds >= 4 and not self.wrong + self.almost
        )


def _sung_by(text: str, *, known: bool, listed: bool) -> bool:
    """Whether what stands behind a name and a colon is music."""
    signs = _Signs(text)
    count = len(signs.words)
    if known and signs.bars:
        return signs.sounds + signs.almost > 0 and count > 2 and signs.wrong <= 0.3 * count
    if known:
        return not listed and signs.sounds >= 4 and not signs.wrong + signs.almost + signs.listing
    return (
        not listed
        and signs.bars > 0
        and signs.full_bar
        and signs.sounds >= 3
        and signs.wrong + signs.almost <= 0.2 * count
    )
