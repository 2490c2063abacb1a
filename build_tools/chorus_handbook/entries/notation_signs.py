"""Recognises lines of music among ordinary text, for `stray_notation`.

In a line of music nearly every word is a sign of the notation, and there is a bar line or the name
of a singer: "soprano: 1 2 3 2 | 1 - - 0 |". Counting aloud, times, tables and lists of numbers look
similar and must not be reported. This module does not check whether the music is correct (`music/`
does), only whether it was meant as music.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

#: Words for singers in any chorus. The chorus's own voices and groups are added to them.
SINGERS = frozenset(
    "all others leader everyone everybody tutti soprano sopranos alto altos tenor tenors bass "
    "basses baritone baritones treble trebles men women".split()
)
#: The initials of soprano, alto, tenor and bass, which often stand for them in front of a line.
_INITIALS = frozenset("satb")

#: One note of a beat in `degrees`: a degree, x for a spoken beat, 0 or a hyphen, with an accidental
#: before it and octave marks or ornaments after it.
_SHARE = r"[#b♯♭]?[0-7x\-–][',’]*[?~^]*"
#: One beat: one note, or several with dots between them.
_BEAT = re.compile(rf"{_SHARE}(?:[.~]{_SHARE})*")
#: The part of a beat that sounds: a degree, or x for a spoken beat.
_SOUND = re.compile(r"[1-7x]")
#: Signs between beats: bar lines, breath marks (v), dynamics, hairpins and three dots.
_SIGN = re.compile(r"\|+|v\??|pp?|m[pf]|ff?|[<>]|\.\.\.|…")
#: What people often write instead of degrees: several digits together, letters, solfa syllables.
_ALMOST = re.compile(
    r"[0-9]{2,8}|[A-Ga-g][#b]?[',]*[0-9]?|(?:do|re|mi|fa|sol?|la|ti)[',]*", re.IGNORECASE
)
#: A name, perhaps in bold type, then a colon and the rest of the line.
_NAMED = re.compile(r"\**([^\W\d][\w+&/ -]{0,30}?)\**[ \t]*:\**[ \t]+(\S.*)")
#: A whole header line of `degrees`: meter, pickup, mode or octave.
_HEADER = re.compile(
    r"meter:[ \t]*(?:free|\d+[ \t]*/[ \t]*\d+)|pickup:[ \t]*\d+|mode:[ \t]*[a-z]+"
    r"|octave:[ \t]*[\w-]+[ \t]+[+-]?\d(?:[ \t]*,[ \t]*[\w-]+[ \t]+[+-]?\d)*"
)
#: A line "words: ..." that cannot be a sentence: "...", syllables with hyphens, a repeated word.
_WORDS = re.compile(r"words:.*(?:[ \t](?:\.\.\.|…|_+|\*)(?:[ \t]|$)|\w-\w+-\w|\b(\w+)[ \t]+\1\b).*")

#: Parts of a tune in ABC: its number (X:), a field, the key (K:), and a line of notes.
_ABC_NUMBER = re.compile(r"X:[ \t]*\d+[ \t]*")
_ABC_FIELD = re.compile(r"[A-Za-z]:[ \t]*\S.*")
_ABC_KEY = re.compile(r"K:[ \t]*(?:[A-G][#b]?[ \t]*[A-Za-z]{0,10}\b.*|none)")
_ABC_MUSIC = re.compile(r"[A-Ga-gzZxy0-9,'/|:\[\]()^_=\s~<>.{}-]+")


def is_header(line: str) -> bool:
    """Whether a line at the start of a paragraph is a header of `degrees`, such as "meter: 3/4", or
    a line of syllables that cannot be a sentence."""
    return bool(_HEADER.fullmatch(line) or _WORDS.fullmatch(line))


def is_sung(line: str, names: Collection[str], listed: bool) -> bool:
    """Whether a line is music in `degrees`. `names` are words for singers. `listed` says whether
    the line is an item of a Markdown list; in lists, numbers are common in ordinary text, so more
    is needed to tell."""
    named = _NAMED.fullmatch(line)
    if named is None:
        return not listed and _Signs(line).alone()
    name = named[1].strip().lower()
    singers = re.split(r"[ \t]*(?:[+&/]|\band\b)[ \t]*", name)
    initial = name in _INITIALS and "|" in named[2]
    known = initial or all(singer in names for singer in singers)
    return _sung_by(named[2], known=known, listed=listed)


def is_abc_field(line: str) -> bool:
    """Whether a line could be a field of ABC, such as "K: C"."""
    return bool(_ABC_FIELD.fullmatch(line))


def begins_abc(lines: Iterable[str]) -> bool:
    """Whether these lines begin with a header of ABC: a number (X:), or fields with a key (K:)."""
    fields, has_key = 0, False
    for line in lines:
        if not is_abc_field(line):
            # A single line "K: ..." is a header only if notes follow: it could be ordinary text.
            return has_key and (fields > 1 or _is_abc_music(line))
        if fields == 0 and _ABC_NUMBER.fullmatch(line):
            return True
        fields += 1
        has_key = has_key or bool(_ABC_KEY.fullmatch(line))
    return has_key and fields > 1


def _is_abc_music(line: str) -> bool:
    """Whether a line could be notes in ABC."""
    return "|" in line and bool(_ABC_MUSIC.fullmatch(line))


def goes_on(line: str) -> bool:
    """Whether a line directly below music is music too. It needs fewer signs of music than a line
    that stands alone."""
    if line.startswith("words:") or is_header(line) or is_abc_field(line) or _is_abc_music(line):
        return True
    named = _NAMED.fullmatch(line)
    signs = _Signs(named[2] if named else line)
    return signs.sounds > 1 or bool(signs.words and not signs.wrong + signs.almost)


class _Signs:
    """The signs in a line, counted.

    words: the line, cut at spaces and bar lines.
    bars: how many bar lines it has.
    sounds: how many notes and spoken beats.
    almost: how many words that people often write instead of a note.
    wrong: how many words that no notation has.
    """

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
        """Whether there is more than one word between two bar lines, unlike in most tables."""
        return any(len(bar.split()) > 1 for bar in " ".join(self.words).split("|"))

    @property
    def listing(self) -> bool:
        """Whether the line is a list with commas, such as "5, 4, 3, 2"."""
        return len(self.words) > 1 and all(word.endswith(",") for word in self.words[:-1])

    def alone(self) -> bool:
        """Whether a line without a singer's name can only be music."""
        return bool(
            self.bars and self.full_bar and self.sounds >= 4 and not self.wrong + self.almost
        )


def _sung_by(text: str, *, known: bool, listed: bool) -> bool:
    """Whether the text after a name and a colon is music. If the name is `known` to be that of a
    singer, fewer notes are enough and more words may be wrong. `listed` is as in `is_sung`. The
    figures are our choice."""
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
