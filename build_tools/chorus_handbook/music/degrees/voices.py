"""Finds out who sings each line of a block (lines that sound together) in `degrees` notation.

Before the colon of a line stands a voice, a group, several of these joined with +, `all`, `leader`,
or `others` (all voices of the exercise without a line of their own).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.degrees.lines import HEADERS, NamedLine
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import ALL, Singers, guess
from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes

OTHERS = "others"

#: Words that authors write by mistake, each with the right word, which a message suggests. (Words
#: for singers are in `music/singers.py`.)
_ALSO_CALLED = {
    **dict.fromkeys(("rest", "the rest", "the others"), OTHERS),
    **dict.fromkeys(("lyrics", "text", "syllables"), "words"),
    **dict.fromkeys(("time", "time signature", "metre"), "meter"),
    **dict.fromkeys(("upbeat", "anacrusis"), "pickup"),
    **dict.fromkeys(("bpm", "speed"), "tempo"),
    **dict.fromkeys(("key", "tonic"), "keys"),
}
#: What authors write between names instead of +.
_BETWEEN_NAMES = re.compile(r"\s*(?:[&/,]|\band\b)\s*")


def line_names(chorus: Chorus) -> tuple[str, ...]:
    """Every name that a single line may begin with."""
    return (ALL, OTHERS, LEADER, *chorus.voices, *chorus.groups)


def assign_voices(
    lines: Sequence[NamedLine], chorus: Chorus, voices: Sequence[str]
) -> tuple[list[Singers | None], list[Problem]]:
    """Find the singers of each line of one block. `voices` are the voices of the exercise. Returns
    them and the problems.

    A voice with two lines is reported, and sings the first. A line with an unknown name has no
    singers. A line that was probably meant as a header or a field of the front matter has None in
    place of its singers.
    """
    block = _BlockVoices(chorus, tuple(voices))
    singers: list[Singers | None] = [
        Singers() if ln.name == OTHERS else block.assign(ln) for ln in lines
    ]
    # Who the `others` are is known only after all other lines of the block have been read.
    for index, line in enumerate(lines):
        if line.name == OTHERS:
            singers[index] = block.assign_others(line)
    return singers, block.problems


class _BlockVoices:
    """Assigns the lines of one block to singers, one line after another."""

    def __init__(self, chorus: Chorus, voices: tuple[str, ...]) -> None:
        self.problems: list[Problem] = []
        self._chorus = chorus
        self._voices = voices
        self._taken: dict[str, Place] = {}  # by voice that has a line, the place of the line
        self._others: Place | None = None  # the place of the line `others`
        self._unknown = False  # whether the singers of some line could not be found

    def assign(self, line: NamedLine) -> Singers | None:
        """The singers of a line that does not begin with `others`; None as in `assign_voices`."""
        if self._misplaced(line):
            self._unknown = True
            return None
        names = [name.strip() for name in line.name.split("+")]
        voices: list[str] = []
        for name in names:
            voices += self._named(name, line, joined=len(names) > 1)
        return Singers(self._take(line, voices), joined=len(names) > 1)

    def assign_others(self, line: NamedLine) -> Singers:
        """The singers of a line that begins with `others`."""
        if self._others:
            self._complain(
                line.place,
                f'This block has two lines for "others"; the first is on line {self._others.line}.',
                'Keep one line for "others", or begin this line with the names of voices.',
            )
            return Singers()
        self._others = line.place
        left = tuple(voice for voice in self._voices if voice not in self._taken)
        if not left and not self._unknown:
            self._complain(
                line.place,
                'No voice is left for "others": every voice of the exercise has a line.',
                "Delete this line, or rename the line that should sing it.",
            )
        return Singers(left)

    def _named(self, name: str, line: NamedLine, *, joined: bool) -> tuple[str, ...]:
        """The voices that one name before the colon of a line means; none if it is wrong, which is
        reported. `joined` says whether it is one of several joined with +."""
        if joined and name in (ALL, OTHERS, LEADER):
            self._complain(
                line.place,
                f'"{name}" cannot be joined with "+".',
                'Join voices or groups, such as "soprano+alto". "all", "others" and "leader" '
                "stand alone.",
            )
            return ()
        if name == LEADER:
            return (LEADER,)
        if name == ALL:
            return self._voices
        voices = self._chorus.named(name)
        if voices is None:
            self._unknown = True
            self._report_unknown(name, line)
        return voices or ()

    def _report_unknown(self, name: str, line: NamedLine) -> None:
        if not name:
            self._complain(
                line.place,
                "A name is missing here.",
                'Write who sings before the colon: "all: 1 2 3 4 |".',
            )
            return
        known = line_names(self._chorus)
        self._complain(
            line.place,
            f"There is no voice or group called {shown(name)}.",
            f"{self._meant(name)}Begin the line with one of these: {in_quotes(known)}.",
        )

    def _meant(self, name: str) -> str:
        """A sentence that suggests what to write instead; empty if there is no guess."""
        known = line_names(self._chorus)
        parts = [part.lower() for part in _BETWEEN_NAMES.split(name)]
        if len(parts) > 1 and all(part in self._chorus.voices for part in parts):
            return f'For two voices on one line, write "{"+".join(parts)}". '
        meant = guess(name, self._chorus) or _ALSO_CALLED.get(name.lower())
        if meant in known:
            return f'Did you mean "{meant}"? '
        return f"{did_you_mean(name[:40], known)} ".lstrip()

    def _misplaced(self, line: NamedLine) -> bool:
        """Whether a line is probably a misspelt header, or a field of the front matter. If so, this
        is reported."""
        known = line_names(self._chorus)
        if line.name in known or "+" in line.name:
            return False
        name = _ALSO_CALLED.get(line.name.lower(), line.name)
        meant = did_you_mean(name[:40], (*HEADERS, *known))
        if name in FrontMatter.model_fields:
            message = f"{shown(line.name)} is a field of the front matter, not of the notation."
            hint = f'Write "{name}:" at the top of the file, between the two lines "---".'
        elif any(f'"{header}"' in meant for header in HEADERS):
            message = f"{shown(line.name)} is neither a voice nor a word of the header."
            hint = f"Begin a line of the header with one of {in_quotes(HEADERS)}.{meant}"
        else:
            return False
        self.problems.append(Problem(line.place, "notation-header", message, hint))
        return True

    def _take(self, line: NamedLine, voices: Sequence[str]) -> tuple[str, ...]:
        """Give the line to those of the voices that have no line yet, and report the others.
        Returns the former in score order."""
        free: list[str] = []
        twice: dict[str, Place] = {}
        for voice in voices:
            if voice in self._taken:
                twice.setdefault(voice, self._taken[voice])
            else:
                self._taken[voice] = line.place
                free.append(voice)
        if twice:
            names = in_quotes(twice)
            first = next(iter(twice.values()))
            where = "on this line" if first == line.place else f"on line {first.line}"
            self._complain(
                line.place,
                f"{names} already {'has' if len(twice) == 1 else 'have'} a line in this block, "
                f"{where}.",
                "Give each voice only one line in a block; an empty line begins the next block. "
                'For all voices without a line of their own, write "others".',
            )
        return (LEADER,) if LEADER in free else self._chorus.in_order(free)

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(place, "notation-voice", message, hint))
