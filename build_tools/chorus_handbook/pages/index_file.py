"""Makes index.json, the small file of all exercises that pages load to find and to list them, and
the data that the page of a single exercise carries.

It has those fields of each exercise's row (`views.evaluate`) that readers can search by, under the
same names and as the same whole numbers, so that a condition means the same in the browser
(`browser/conditions.js`) as in views.yml. Fields without a value are left out. Further fields have
what lists say of an exercise in words.

`VERSION` is raised when a field is removed or changes its meaning. The browser checks it, because
it may have an older copy of the file than of the page.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _, listed
from chorus_handbook.chorus.model import (
    IMPACT_WORDS,
    LEVEL_WORDS,
    MOMENT_WORDS,
    Chorus,
    Vocabulary,
)
from chorus_handbook.records import Exercise
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.views import Row
from chorus_handbook.voices.ladder_data import LadderData, chorus_as_data
from chorus_handbook.warmups.rotation import ENOUGH_WARM_UPS, OFTEN, Log

VERSION: int = FACTS["formats"]["index"]

#: The fields of a row that are in index.json, in addition to slug, title and plain name.
FIELDS = (
    *("summary", "goals", "impact", "sounding", "level", "minutes", "known", "voices_sing"),
    *("parts", "ambitus_semitones", "largest_interval", "motion", "formation", "moment"),
)
#: How a line moves, by the `motion` of an exercise.
_MOTION_WORDS = {
    "repeats": N_("repeated notes"),
    "steps": N_("steps"),
    "skips": N_("skips of a third"),
    "leaps": N_("leaps"),
    "glide": N_("glides"),
    "mixed": N_("mixed"),
}
#: The browser counts days from here.
_FIRST_DAY = date(1970, 1, 1).toordinal()


def index_json(
    exercises: Mapping[str, Exercise],
    rows: Mapping[str, Row],
    chorus: Chorus,
    vocabulary: Vocabulary,
    log: Log,
) -> bytes:
    """The content of index.json for these exercises and their rows, both keyed by slug. Equal
    exercises give equal bytes. Exercises are in the order of their titles, as in every list that
    states no other order."""
    ordered = sorted(exercises, key=lambda slug: (exercises[slug].front.title.casefold(), slug))
    head = _written(
        chorus, words=labels(chorus, vocabulary), log=_days(log), exercises=[]
    ).removesuffix("]}")
    entries = ",".join(_entry(exercises[slug], rows[slug], chorus) for slug in ordered)
    return f"{head}{entries}]}}\n".encode()


def page_data(ladder: LadderData, chorus: Chorus) -> Markup:
    """The data of one exercise as JSON that can be put into a <script> element of its page."""
    return Markup(_written(chorus, ladder=ladder).replace("<", "\\u003c"))


def labels(chorus: Chorus, vocabulary: Vocabulary) -> dict[str, dict[str | int, str]]:
    """For each field, the words that readers see for each of its values, in the order in which the
    values are sorted."""
    voices: dict[str | int, str] = {"all": _("All voices")}
    voices |= {name: voice.label for name, voice in chorus.voices.items()}
    for name in chorus.groups:
        voices[name] = listed(chorus.voices[voice].label for voice in chorus.named(name) or ())
    return {
        "goals": {name: goal.label for name, goal in vocabulary.goals.items()},
        "impact": {number: _(word) for number, word in IMPACT_WORDS.items()},
        "level": {number: _(word) for number, word in LEVEL_WORDS.items()},
        "moment": {name: _(word) for name, word in MOMENT_WORDS.items()},
        "sounding": {name: sounding.label for name, sounding in vocabulary.soundings.items()},
        "voices_sing": voices,
        "motion": {name: _(word) for name, word in _MOTION_WORDS.items()},
        "formation": {name: one.label for name, one in vocabulary.formations.items()},
    }


def _entry(exercise: Exercise, row: Row, chorus: Chorus) -> str:
    """One exercise as compact JSON text. The part that takes long to compute, its ladder, comes
    from its record."""
    from chorus_handbook.pages import words  # late, like learning_words: other uses need neither
    from chorus_handbook.pages.learning_words import minutes_in_table
    from chorus_handbook.pages.starts import starting_notes

    more: dict[str, Any] = {
        name: value for name in FIELDS if (value := row.get(name)) not in (None, "")
    }
    front, facts = exercise.front, exercise.facts
    more["times"] = minutes_in_table(front, facts)
    more["who"] = words.who_sings(facts, chorus)
    if key := words.first_key(facts):
        more["key"] = key
    if exercise.ladder and exercise.ladder.rungs:
        more["starts"] = starting_notes(exercise.ladder.rungs[0], chorus)
    return f"{exercise.index_entry.removesuffix('}')},{_compact(more).removeprefix('{')}"


def _days(log: Log) -> dict[str, Any]:
    """The days from which the browser finds out whether an exercise is new, settling, known or
    resting: the first days of the whole log, and the last days of each exercise. They are counted
    from 1 January 1970."""

    def counted(days: Sequence[int]) -> list[int]:
        return [day - _FIRST_DAY for day in days]

    return {
        "days": counted(log.days[:ENOUGH_WARM_UPS]),
        "sung": {slug: counted(log.sung[slug][-OFTEN:]) for slug in sorted(log.sung)},
    }


def _written(chorus: Chorus, **more: Any) -> str:
    """A JSON object with the version, the voices of the chorus and `more` fields."""
    return _compact({"version": VERSION, "voices": chorus_as_data(chorus), **more})


def _compact(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))
