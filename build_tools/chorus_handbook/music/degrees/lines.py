"""Separates the lines of a text in `degrees` notation into header, lines of music and lyric lines.

Every line has the form `name: text`. An empty line begins a new block (lines that sound together).
The texts are read by other modules. A line without a name, or in the wrong place, is reported and
left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from chorus_handbook.music.limits import MOST_LINES, MOST_TOKENS
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem

#: The names of lines that are not music. No voice can be called so.
HEADERS = ("meter", "pickup", "mode", "octave", "words")
WORDS = "words"
#: The most blocks of a text.
MOST_BLOCKS = 64


@dataclass(frozen=True, slots=True)
class NamedLine:
    """A line `name: text`. `place` is where it begins, `text_place` where its text begins, after
    the colon."""

    name: str
    text: str
    place: Place
    text_place: Place


@dataclass(slots=True)
class VoiceLine:
    """A line of music, with the lyric lines (`words: ...`) that stand below it."""

    line: NamedLine
    words: list[NamedLine] = field(default_factory=list)


@dataclass(slots=True)
class TextBlock:
    """Lines of music that sound together. `words`: the lyric lines above them, used for every line
    that has none of its own."""

    words: list[NamedLine] = field(default_factory=list)
    lines: list[VoiceLine] = field(default_factory=list)


@dataclass(slots=True)
class SortedText:
    """A whole text, its lines separated into header and blocks. `words`: the header's lyric lines,
    used for every block that has none of its own."""

    headers: list[NamedLine] = field(default_factory=list)
    words: list[NamedLine] = field(default_factory=list)
    blocks: list[TextBlock] = field(default_factory=list)

    def default_words(self, block: TextBlock) -> list[NamedLine]:
        """The lyric lines for those lines of music in the block that have none of their own."""
        return block.words or self.words


def read_lines(text: str, place: Place, names: Iterable[str]) -> tuple[SortedText, list[Problem]]:
    """Separate the lines of a text in `degrees`, which begins at `place`, into header and blocks.
    Returns them and the problems. `names` are the voices and groups that a line may begin with: a
    line that begins with one of them but has no colon gets a better message."""
    reader = _LineSorter(frozenset({*names, *HEADERS}))
    for index, written in enumerate(text.split("\n")):
        reader.take(written.rstrip("\r"), place.at(place.line + index))
    reader.end_block()
    sorted_text = reader.text
    if not sorted_text.blocks and not reader.problems:
        reader.complain(
            place,
            "notation-line",
            "There is nothing to sing here.",
            'Write a line such as "all: 1 2 3 4 | 5 - - - |", or delete the lines "```" and what '
            "is between them.",
        )
    _check_size(sorted_text, reader.problems)
    return sorted_text, reader.problems


class _LineSorter:
    """Sorts lines one after another into `text`, and collects `problems`."""

    def __init__(self, names: frozenset[str]) -> None:
        self.text = SortedText()
        self.problems: list[Problem] = []
        self._names = names
        self._block = TextBlock()
        # Whether the line above was left out: then the words below it are left out, too.
        self._left_out = False

    def complain(self, place: Place, code: str, message: str, hint: str) -> None:
        self.problems.append(Problem(place, code, message, hint))

    def take(self, written: str, place: Place) -> None:
        if not written or written.isspace():
            self.end_block()
            return
        indent = len(written) - len(written.lstrip())
        at = place.at(place.line, 1 + indent)
        before, colon, text = written.partition(":")
        if not colon:
            self._left_out = True
            self._no_name(written.strip(), at)
            return
        line = NamedLine(before.strip(), text, at, place.at(place.line, len(before) + 2))
        if line.name == WORDS:
            self._take_words(line)
        elif line.name in HEADERS:
            self._take_header(line)
        else:
            self._left_out = False
            self._block.lines.append(VoiceLine(line))

    def end_block(self) -> None:
        """End the block, if anything has been read since the last one."""
        block, self._block = self._block, TextBlock()
        self._left_out = False
        if block.lines:
            # Words above the first block are for all blocks, with or without an empty line between.
            self.text.words = self.text.words or (block.words if not self.text.blocks else [])
            self.text.blocks.append(block)
        elif not self.text.blocks:
            self.text.words += block.words
        elif block.words:
            self.complain(
                block.words[0].place,
                "notation-line",
                "These words have no notes: there are empty lines above and below them.",
                "Move them directly below the line that sings them, or directly above all lines "
                "that sing them, without an empty line between.",
            )

    def _take_words(self, line: NamedLine) -> None:
        if self._left_out:
            return
        lines = self._block.lines
        (lines[-1].words if lines else self._block.words).append(line)

    def _take_header(self, line: NamedLine) -> None:
        if self.text.blocks or self._block.lines:
            self.complain(
                line.place,
                "notation-header",
                f'The line "{line.name}:" stands below a line of notes.',
                "Move it above all lines of notes, because it counts for the whole exercise.",
            )
            return
        self.text.headers.append(line)

    def _no_name(self, written: str, place: Place) -> None:
        first = written.split(maxsplit=1)[0]
        if first in self._names:
            message = f"There is no colon after {shown(first)}."
            hint = f'Write "{first}:" and the notes after it.'
        else:
            message = "This line does not say who sings it."
            hint = 'Begin the line with a voice and a colon, as in "all: 1 2 3 4 |".'
        self.complain(place, "notation-line", message, hint)


def _check_size(sorted_text: SortedText, problems: list[Problem]) -> None:
    """Report the place at which the text becomes larger than an exercise may be."""

    def too_large(line: NamedLine, what: str) -> None:
        problems.append(
            Problem(
                line.place,
                "notation-size",
                f"From here on the exercise has {what}.",
                'Split the exercise. Or write a short figure, and let the fields "passes" and '
                '"keys" in the front matter repeat it.',
            )
        )

    if len(sorted_text.blocks) > MOST_BLOCKS:
        first = sorted_text.blocks[MOST_BLOCKS].lines[0].line
        too_large(first, f"more than {MOST_BLOCKS} blocks (lines that are sung together)")
    everything = list(sorted_text.words)
    for block in sorted_text.blocks:
        if len(block.lines) > MOST_LINES:
            too_large(block.lines[MOST_LINES].line, f"more than {MOST_LINES} lines in one block")
        everything += block.words if block.words is not sorted_text.words else []
        everything += (line for voice in block.lines for line in (voice.line, *voice.words))
    tokens = 0
    for line in everything:
        before = tokens
        tokens += len(line.text.replace("|", " | ").split())
        if before <= MOST_TOKENS < tokens:
            too_large(line, f"more than {MOST_TOKENS:,} notes and signs")
