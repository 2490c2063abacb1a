"""Finds out who sings each line of a block: a voice, a group, joined names, `all`, `others` or
`leader`.
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

#: Words that authors write by mistake, with the right ones, which a message suggests. (Those for
#: singers are in `music/singers.py`.)
_ALSO_CALLED = {
    **dict.fromkeys(("rest", "the rest", "the others"), OTHERS),
    **dict.fromkeys(("lyrics", "text", "syllables"), "words"),
    **dict.fromkeys(("time", "time signature", "metre"), "meter"),
    **dict.fromkeys(("upbeat", "anacrusis"), "pickup"),
    **dict.fromkeys(("bpm", "speed"), "tempo"),
    **dict.fromkeys(("key", "tonic"), "keys"),
}
_BETWEEN_NAMES = re.compile(r"\s*(?:[&/,]|\band\b)\s*")


def line_names(chorus: Chorus) -> tuple[str, ...]:
    """Every name that a single line may begin with."""
    return (ALL, OTHERS, LEADER, *chorus.voices, *chorus.groups)


def assign_voices(
    lines: Sequence[NamedLine], chorus: Chorus, voices: Sequence[str]
) -> tuple[list[Singers | None], list[Problem]]:
    """The singers of each line of one block. `voices` are those of the exercise.

    A voice with two lines is reported and sings the first. A line with an unknown name has no
    singers; the result is None for a line that is not music but was meant as part of the header.
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
    """The voices of one block that already have a line."""

    def __init__(self, chorus: Chorus, voices: tuple[str, ...]) -> None:
        self.problems: list[Problem] = []
        self._chorus = chorus
        self._voices = voices
        self._taken: dict[str, Place] = {}
        self._others: Place | None = None
        self._unknown = False  # whether the singers of some line could not be found

    def assign(self, line: NamedLine) -> Singers | None:
        if self._misplaced(line):
            self._unknown = True
            return None
        names = [name.strip() for name in line.name.split("+")]
        wanted: list[str] = []
        for name in names:
            wanted += self._named(name, line, joined=len(names) > 1)
        return Singers(self._take(line, wanted), joined=len(names) > 1)

    def assign_others(self, line: NamedLine) -> Singers:
        if self._others:
            self._complain(
                line.place,
                f"others: stands in this block a second time; the first is on line "
                f"{self._others.line}.",
                "Keep one line for others, or name the voices.",
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
        """Whether the line is a misspelt header, or a field of the front matter."""
        known = line_names(self._chorus)
        if line.name in known or "+" in line.name:
            return False
        name = _ALSO_CALLED.get(line.name.lower(), line.name)
        meant = did_you_mean(name[:40], (*HEADERS, *known))
        if name in FrontMatter.model_fields:
            message = f"{shown(line.name)} belongs to the fields at the top of the file."
            hint = f'Write "{name}:" between the two --- lines there.'
        elif any(f'"{header}"' in meant for header in HEADERS):
            message = f"{shown(line.name)} is neither a voice nor a word of the header."
            hint = f"The words of the header are {', '.join(HEADERS)}.{meant}"
        else:
            return False
        self.problems.append(Problem(line.place, "notation-header", message, hint))
        return True

    def _take(self, line: NamedLine, wanted: Sequence[str]) -> tuple[str, ...]:
        free: list[str] = []
        twice: dict[str, Place] = {}
        for voice in wanted:
            if voice in self._taken:
                twice.setdefault(voice, self._taken[voice])
            else:
                self._taken[voice] = line.place
                free.append(voice)
        if twice:
            names = ", ".join(twice)
            first = next(iter(twice.values()))
            where = "on this line" if first == line.place else f"on line {first.line}"
            self._complain(
                line.place,
                f"{names} already {'sings' if len(twice) == 1 else 'sing'} in this block, {where}.",
                'Give each voice only one line in a block. The name "others" means all voices '
                "without a line; an empty line begins the next block.",
            )
        return (LEADER,) if LEADER in free else self._chorus.in_order(free)

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self.problems.append(Problem(place, "notation-voice", message, hint))
