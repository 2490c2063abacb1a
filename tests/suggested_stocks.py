"""Stocks of candidates drawn by chance, for tests of what is suggested: without files, but with
numbers that hang together as those of exercises do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from random import Random
from typing import get_args

from chorus_handbook.chorus.model import Chorus, Family, Vocabulary
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.rotation import Log, Status
from chorus_handbook.warmups.running_order import MINUTE, SECOND, KeyReach, PlannedItem, VoiceRange
from chorus_handbook.warmups.suggesting.candidates import Candidate, Phase, Stock
from chorus_handbook.warmups.suggesting.request import Request

DAY = date(2026, 12, 10)
VOICES = {
    "soprano": VoiceRange("Soprano", 60, 77),
    "alto": VoiceRange("Alto", 55, 72),
    "tenor": VoiceRange("Tenor", 48, 65),
    "bass": VoiceRange("Bass", 41, 60),
}
GOALS = {
    **{"alignment": "body", "release": "body", "breath-flow": "breath", "easy-onset": "breath"},
    **{"resonance": "sound", "vowels": "sound", "diction": "sound"},
    **{"agility": "reach", "range": "reach"},
    **{"blend": "ears", "tuning": "ears", "harmony": "ears"},
}
_SOUNDINGS = ("silent", "hum", "lip-trill", "vowel", "syllables", "sung-words")


def stock() -> Stock:
    """A stock without exercises: what programs ask of the chorus and its vocabulary."""
    voices = {
        name: {
            **{"label": one.label, "clef": "treble", "octave": 0},
            **{"comfortable": _range(one.low, one.high), "limits": _range(one.low, one.high)},
        }
        for name, one in VOICES.items()
    }
    goals = {
        name: {"label": name, "about": "For a test.", "family": family}
        for name, family in GOALS.items()
    }
    manners = {name: {"label": name, "lowest_impact": 1} for name in _SOUNDINGS}
    vocabulary = Vocabulary.model_validate({"goals": goals, "soundings": manners})
    chorus = Chorus.model_validate({"name": "Drawn", "voices": voices})
    return Stock({}, {}, chorus, vocabulary, Log(), {})


def _range(low: int, high: int) -> str:
    names = "C Db D Eb E F Gb G Ab A Bb B".split()
    return " to ".join(f"{names[note % 12]}{note // 12 - 1}" for note in (low, high))


def request(minutes: float, *goals: str) -> Request:
    return Request(DAY, "19:30", minutes, goals=goals)


ALL_THERE = (Phase(0, frozenset(VOICES)),)


def drawn(count: int, random: Random, *, brisk: bool = False) -> list[Candidate]:
    """So many exercises, each a candidate in one or two runs of keys. `brisk` ones are short, often
    strong, and most of them need a formation: many rules meet in few of them."""
    found: list[Candidate] = []
    for number in range(count):
        one = _drawn(f"exercise-{number:03}", random, brisk=brisk)
        found.append(one)
        if one.item.keys and random.random() < 0.5:
            found.append(_shortened(one))
    return found


def _drawn(slug: str, random: Random, *, brisk: bool) -> Candidate:
    shares = (15, 20, 30, 30, 5) if brisk else (20, 25, 40, 12, 3)
    impact = random.choices((1, 2, 3, 4, 5), shares)[0]
    wanted: Sequence[Family] = ("body", "breath") if impact == 1 else get_args(Family)
    goals = [goal for goal, family in GOALS.items() if family in wanted]
    named = tuple(random.sample(goals, random.choice((1, 2, 2, 3))))
    status: Status = random.choice(("new", "settling", "known", "known", "resting"))
    outings = 0 if status == "new" else random.choice((1, 2, 3, 5))
    lengths = (30, 45, 60) if brisk else (45, 60, 75, 90, 105, 120, 150)
    length = random.choice(lengths) * SECOND
    half_closed = impact == 2 and random.random() < 0.7
    lines = 0 if impact == 1 else random.choices((0, 1, 2, 3, 4), (2, 12, 2, 1, 3))[0]
    item = PlannedItem(
        slug,
        f"Exercise {slug[-3:]}",
        impact,
        length,
        singing=0 if impact == 1 else length * random.choice((40, 60, 70)) // 100,
        sound=0 if impact == 1 else min(length, 50 * SECOND),
        level=random.choice((1, 1, 2, 2)) if status == "new" else random.choice((1, 1, 2, 3)),
        status=status,
        lines=lines,
        unison=impact > 1 and lines <= 1,
        leap=random.choice((2, 4, 5, 7, 12)) if lines else 0,
        span=random.choice((4, 7, 9, 12, 14)) if lines else 0,
        half_closed=half_closed,
        main_goal=named[0],
        families=frozenset(GOALS[goal] for goal in named),
        unites=any(GOALS[goal] == "ears" for goal in named),
        formation=random.choice(
            ("", "circle", "square") if brisk else ("", "", "", "circle", "square")
        ),
        as_they_stand=random.random() < 0.5,
        parts=(frozenset(VOICES),) if impact > 1 else (),
        there=frozenset(VOICES),
        keys=() if impact == 1 else _keys(random, half_closed),
    )
    return Candidate(
        item,
        WarmUpItem(exercise=slug),
        goals=named,
        sounding="silent" if impact == 1 else random.choice(_SOUNDINGS[1:]),
        moment=random.choice(("", "opening" if impact < 3 else "middle", "closing")),
        outings=outings,
        lately=min(outings, random.choice((0, 1, 2, 4))),
        rested=None if not outings else random.choice((7, 14, 60)),
        quick="agility" in named[:2] or GOALS[named[0]] == "reach",
    )


def _keys(random: Random, half_closed: bool) -> tuple[dict[str, KeyReach], ...]:
    """Three keys in semitones, some of which take a voice beyond its comfortable range."""
    up = random.choice((-4, -2, 0, 0, 0, 2))
    keys = []
    for step in range(3):
        key = {}
        for name, (_, low, high) in VOICES.items():
            lowest, highest = low + 3 + up + step, high - 3 + up + step
            opened = (None, None) if half_closed else (lowest, highest)
            key[name] = KeyReach(lowest, highest, *opened)
        keys.append(key)
    return tuple(keys)


def _shortened(one: Candidate) -> Candidate:
    length = max(30 * SECOND, one.item.length - MINUTE // 2)
    item = replace(
        one.item,
        length=length,
        singing=one.item.singing * length // one.item.length,
        keys=one.item.keys[:2],
    )
    return replace(one, item=item, shortened=True, written=WarmUpItem(exercise=one.slug, keys="C4"))
