"""Reads the voices of an ABC tune: who sings each of them, and in which octave it is written
(sections 4.6 and 7).

A clef does not change the octave; `+8` or `-8` after it, `octave=` and `transpose=` do. Which clef
is drawn is decided by chorus.yml.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.abc.keys import FieldError
from chorus_handbook.music.score import LEADER
from chorus_handbook.music.singers import ALL, Singers, called, first_octave
from chorus_handbook.music.wording import shown
from chorus_handbook.pitch import CLEFS
from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes

#: How many octaves a voice may be written away from where it sounds.
MOST_OCTAVES = 4

#: A setting as name=value, or a single word such as the name of a clef.
_PARAMETER = re.compile(r"([A-Za-z-]+)[ \t]*=[ \t]*(\"[^\"]*\"?|[^\s\"]*)|(\"[^\"]*\"?|[^\s\"]+)")
_PLAIN_CLEFS = "|".join(name for name, clef in CLEFS.items() if not clef.octave)
_CLEF = re.compile(rf"({_PLAIN_CLEFS}|perc|none)[1-5]?([+-]8)?")
#: Settings that change only the look of a page.
_LAYOUT_SETTINGS = frozenset(
    "snm subname sname stem stems gstem dyn lyrics middle m stafflines staffscale merge up down "
    "space scale cue bracket brace".split()
)
_NAMES = ("name", "nm", "n")


@dataclass(frozen=True, slots=True)
class Manner:
    """How a voice is written: its `name`, and by how many octaves its letters are `shift`ed. None:
    not stated."""

    name: str | None = None
    shift: int | None = None


def is_clef(text: str) -> bool:
    """Whether a text is the name of a clef."""
    return bool(_CLEF.fullmatch(text))


def read_manner(text: str) -> Manner:
    """Read the settings after the name of a voice in `V:`, or after the key in `K:`. Raises
    FieldError."""
    name: str | None = None
    octaves: dict[str, int] = {}
    for found in _PARAMETER.finditer(text):
        word, value = (found[1] or "").lower(), (found[2] or "").strip('"').strip()
        if word in _NAMES:
            name = value
        elif word == "clef" or (not word and _CLEF.fullmatch(found[3])):
            octaves["clef"] = _clef_octaves(value if word else found[3])
        elif word in ("octave", "transpose"):
            octaves[word] = _octaves(word, value)
        elif word not in _LAYOUT_SETTINGS and (word or found[3].lower() not in _LAYOUT_SETTINGS):
            raise FieldError(
                f"{shown(word or found[3])} is not a setting of a voice that the handbook knows.",
                'Write clef=treble-8, octave=-1 or name="Alto"; who sings stands after V:',
            )
    shift = sum(octaves.values())
    if abs(shift) > MOST_OCTAVES:
        raise FieldError(f"This moves the voice by {shift} octaves.", "No voice reaches so far.")
    return Manner(name, shift if octaves else None)


def _clef_octaves(clef: str) -> int:
    found = _CLEF.fullmatch(clef)
    if not found:
        raise FieldError(
            f"{shown(clef)} is not a clef.",
            f"The clefs are {', '.join(CLEFS)}; -8 sounds an octave lower."
            + did_you_mean(clef[:20], CLEFS),
        )
    if found[1] == "perc":
        raise FieldError(
            "Percussion has no pitch; the handbook does not support that.",
            "Write spoken beats in a ```degrees fence, where x is a spoken beat.",
        )
    return {"+8": 1, "-8": -1}.get(found[2], 0)


def _octaves(word: str, value: str) -> int:
    if not re.fullmatch(r"[+-]?[0-9]{1,2}", value):
        raise FieldError(
            f"{word}={value[:20]} is not a whole number.", f"Write {word}=-1, for example."
        )
    number = int(value)
    if word == "octave":
        return number
    if number % 12:
        raise FieldError(
            f"transpose={number} would have the voice sing other notes than are written.",
            "Write the notes as they sound; they can only be moved by octaves: 12 or -12.",
        )
    return number // 12


@dataclass(frozen=True, slots=True)
class Named:
    """A voice of the tune as its `V:` names it; `id` is empty in a tune without `V:`."""

    id: str
    name: str
    place: Place


@dataclass(slots=True)
class _Assigned:
    """The singers of each voice by its id; the problems; and by singer, the voice that has it."""

    singers: dict[str, Singers] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    taken: dict[str, Named] = field(default_factory=dict)


def assign_singers(
    named: Sequence[Named], chorus: Chorus, voices: Sequence[str]
) -> tuple[Mapping[str, Singers], list[Problem]]:
    """The singers of each voice of the tune, by its id; `voices` are those of the exercise."""
    done = _Assigned()
    for voice in named:
        wanted = _meant(voice, chorus, tuple(voices))
        if wanted is None:
            done.problems.append(_no_such_voice(voice, chorus))
            continue
        for singer in wanted:
            if singer in done.taken:
                done.problems.append(_twice(voice, singer, done.taken[singer]))
                break
            done.taken[singer] = voice
        ordered = (LEADER,) if wanted == (LEADER,) else chorus.in_order(wanted)
        joined = "+" in (voice.id if called(voice.id, chorus, ()) else voice.name)
        done.singers[voice.id] = Singers(ordered, first_octave(ordered, chorus), joined)
    return done.singers, done.problems


def _meant(voice: Named, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    if not voice.id:
        return voices
    return called(voice.id, chorus, voices) or called(voice.name, chorus, voices)


def _no_such_voice(voice: Named, chorus: Chorus) -> Problem:
    known = [ALL, LEADER, *chorus.voices, *chorus.groups]
    also = f", called {shown(voice.name)}," if voice.name else ""
    return Problem(
        voice.place,
        "notation-voice",
        f"There is no voice or group called {shown(voice.id)}{also or '.'}"
        + (" and nobody has that name." if also else ""),
        f'After "V:", write one of {in_quotes(known)}, or give the voice its name there: '
        f'V:1 name="{next(iter(chorus.voices.values())).label}".'
        + did_you_mean((voice.name or voice.id)[:40], known),
    )


def _twice(voice: Named, singer: str, first: Named) -> Problem:
    return Problem(
        voice.place,
        "notation-voice",
        f"{singer} sings in V:{first.id[:24]} already (line {first.place.line}).",
        "Give each voice of the chorus one V:, or name the groups so that none sings twice.",
    )
