"""Makes planning.json, from which the browser plans a warm-up and checks its order.

Only the page on which a warm-up is put together loads it. It has the numbers of every exercise
(`records/planning_numbers.py`), the comfortable range of each voice, the words of the vocabulary
that a plan uses, the days on which each exercise was sung, and the time and room of each dated
warm-up. `VERSION` is raised when a field is removed or changes its meaning.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages.page import FOLDER
from chorus_handbook.records import Exercise
from chorus_handbook.records.quickness import quick_goals
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.warmups.rotation import Log

VERSION: int = FACTS["formats"]["planning"]
PLANNING_FILE = f"{FOLDER}/planning.json"


def planning_json(
    stock: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
    log: Log,
    warm_ups: Sequence[Text[WarmUpFields]] = (),
) -> bytes:
    """The content of planning.json. It is the same, byte for byte, for the same exercises, log and
    warm-ups, which must be sorted by when they begin."""
    head = {
        "version": VERSION,
        "chorus": chorus.name,
        "voices": {
            name: {
                "label": voice.label,
                "low": voice.comfortable.low,
                "high": voice.comfortable.high,
            }
            for name, voice in chorus.voices.items()
        },
        "groups": {name: chorus.in_order(members) for name, members in chorus.groups.items()},
        "formations": {name: one.label for name, one in vocabulary.formations.items()},
        "goals": {name: one.label for name, one in vocabulary.goals.items()},
        "quick_goals": quick_goals(vocabulary),
        "has_families": any(goal.family for goal in vocabulary.goals.values()),
        "cautions": {name: one.text for name, one in vocabulary.cautions.items()},
        "days": [_day(day) for day in log.days],
        "sung": {
            slug: [_day(day) for day in days]
            for slug, days in sorted(log.sung.items())
            if slug in stock
        },
        "warm_ups": [_when_and_where(text) for text in warm_ups],
    }
    written = json.dumps(head, ensure_ascii=False, separators=(",", ":"))
    entries = ",\n".join(
        f"{json.dumps(slug)}:{stock[slug].planning_entry}"
        for slug in sorted(stock)
        if stock[slug].planning_entry
    )
    return f'{written[:-1]},"exercises":{{\n{entries}\n}}}}\n'.encode()


def _day(number: int) -> str:
    return date.fromordinal(number).isoformat()


def _when_and_where(text: Text[WarmUpFields]) -> dict[str, Any]:
    """What a draft must know of a dated warm-up, so as to begin at the usual time and place and not
    in the same room at the same time: `file` is the name of its file."""
    front = text.front
    where = {"room": front.room} if front.room else {}
    kind = {"kind": front.kind} if front.kind != "weekly" else {}
    when = {"date": front.date, "starts": front.starts, "minutes": front.minutes}
    return {"file": text.source.slug, "title": text.title, **when, **where, **kind}
