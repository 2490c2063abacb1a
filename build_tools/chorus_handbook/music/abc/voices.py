"""Reads the voices of an ABC tune: who sings each of them, and in which octave it is written
(sections 4.6 and 7 of the standard).

A field such as `V:1 name="Alto" clef=treble-8` gives a voice its name and settings. A clef does not
change the octave; `+8` or `-8` after it, `octave=` and `transpose=` do. Which clef is drawn is
decided by chorus.yml.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
_SETTING = re.compile(r"([A-Za-z-]+)[ \t]*=[ \t]*(\"[^\"]*\"?|[^\s\"]*)|(\"[^\"]*\"?|[^\s\"]+)")
_PLAIN_CLEFS = "|".join(name for name, clef in CLEFS.items() if not clef.octave)
#: A clef, perhaps with its line and the octave by which its notes are moved: treble, alto4, bass-8.
_CLEF = re.compile(rf"({_PLAIN_CLEFS}|perc|none)[1-5]?([+-]8)?")
#: Settings that change only the look of a page, so they are ignored.
_LAYOUT_SETTINGS = frozenset(
    "snm subname sname stem stems gstem dyn lyrics middle m stafflines staffscale merge up down "
    "space scale cue bracket brace".split()
)
#: Names of the setting that gives the name printed before the staff.
_NAMES = ("name", "nm", "n")


@dataclass(frozen=True, slots=True)
class Manner:
    """How a voice is written: the `name` printed before its staff, and how many octaves are added
    to its letters (`shift`). Either is None if it is not stated."""

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
    for found in _SETTING.finditer(text):
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
                "Delete it, or write a setting such as clef=treble-8, octave=-1 or "
                'name="Alto". Who sings the voice stands directly after "V:".',
            )
    shift = sum(octaves.values())
    if abs(shift) > MOST_OCTAVES:
        raise FieldError(
            f"These settings move the voice by {shift} octaves, farther than any voice reaches.",
            f"Write settings that move it by at most {MOST_OCTAVES} octaves.",
        )
    return Manner(name, shift if octaves else None)


def _clef_octaves(clef: str) -> int:
    """How many octaves a clef adds to the letters. Raises FieldError."""
    found = _CLEF.fullmatch(clef)
    if not found:
        raise FieldError(
            f"{shown(clef)} is not a clef.",
            f"Write one of {in_quotes(CLEFS)}; with -8 after it, the notes sound an octave lower."
            + did_you_mean(clef[:20], CLEFS),
        )
    if found[1] == "perc":
        raise FieldError(
            "The clef is for percussion, which has no pitch; the handbook does not support that.",
            'Write spoken beats in a "```degrees" fence, where "x" is a spoken beat.',
        )
    return {"+8": 1, "-8": -1}.get(found[2], 0)


def _octaves(word: str, value: str) -> int:
    """How many octaves the setting `word`, "octave" or "transpose", adds to the letters. Raises
    FieldError."""
    if not re.fullmatch(r"[+-]?[0-9]{1,2}", value):
        raise FieldError(
            f'The value of "{word}={value[:20]}" is not a whole number.',
            f'Write a whole number, as in "{word}={"-1" if word == "octave" else "-12"}".',
        )
    number = int(value)
    if word == "octave":
        return number
    if number % 12:
        raise FieldError(
            f'With "transpose={number}" the voice would sing other notes than are written.',
            "Write the notes as they sound. They can only be moved by whole octaves, with "
            '"transpose=12" or "transpose=-12".',
        )
    return number // 12


@dataclass(frozen=True, slots=True)
class Named:
    """A voice of the tune. `id` is its name after `V:` (empty in a tune without `V:`), `name` the
    name printed before its staff, `place` where it is first named."""

    id: str
    name: str
    place: Place


def assign_singers(
    named: Sequence[Named], chorus: Chorus, voices: Sequence[str]
) -> tuple[Mapping[str, Singers], list[Problem]]:
    """Find out which voices of the chorus sing each voice of the tune. `voices` are the voices of
    the exercise. Returns the singers by the id of the voice, and the problems."""
    assigned: dict[str, Singers] = {}
    problems: list[Problem] = []
    taken: dict[str, Named] = {}  # by voice of the chorus, the voice of the tune that it sings
    for voice in named:
        singers = _singers_of(voice, chorus, tuple(voices))
        if singers is None:
            problems.append(_no_such_voice(voice, chorus))
            continue
        for singer in singers:
            if singer in taken:
                problems.append(_sings_twice(voice, singer, taken[singer]))
                break
            taken[singer] = voice
        ordered = (LEADER,) if singers == (LEADER,) else chorus.in_order(singers)
        joined = "+" in (voice.id if called(voice.id, chorus, ()) else voice.name)
        assigned[voice.id] = Singers(ordered, first_octave(ordered, chorus), joined)
    return assigned, problems


def _singers_of(voice: Named, chorus: Chorus, voices: tuple[str, ...]) -> tuple[str, ...] | None:
    """The voices of the chorus that a voice of the tune is for; None if its names are unknown."""
    if not voice.id:
        return voices
    return called(voice.id, chorus, voices) or called(voice.name, chorus, voices)


def _no_such_voice(voice: Named, chorus: Chorus) -> Problem:
    known = [ALL, LEADER, *chorus.voices, *chorus.groups]
    also = f" or {shown(voice.name)}" if voice.name else ""
    return Problem(
        voice.place,
        "notation-voice",
        f"There is no voice or group called {shown(voice.id)}{also}.",
        f'After "V:", write one of {in_quotes(known)}, or give the voice its name there, as in '
        f'V:1 name="{next(iter(chorus.voices.values())).label}".'
        + did_you_mean((voice.name or voice.id)[:40], known),
    )


def _sings_twice(voice: Named, singer: str, first: Named) -> Problem:
    return Problem(
        voice.place,
        "notation-voice",
        f'The voice "{singer}" already sings in "V:{first.id[:24]}" (line {first.place.line}).',
        'Write only one "V:" for each voice of the chorus; a group stands for all its voices.',
    )
