"""Makes an exercise's entries for the site's data files exercises.json and index.json.

The entries are JSON text that is stored with the exercise's record. A data file is then put
together from the stored texts, without loading the measurements of every exercise.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts_json import facts_as_json
from chorus_handbook.music.learning import known_minutes, level_of
from chorus_handbook.records.record import Exercise
from chorus_handbook.voices.ladder_data import LadderData, ladder_as_data, ladder_as_json
from chorus_handbook.voices.load import loads_as_json


def export_entry(exercise: Exercise, vocabulary: Vocabulary) -> str:
    """The exercise's object in exercises.json, as JSON text. `pages.export` describes it."""
    slug, front, facts, ladder = exercise.slug, exercise.front, exercise.facts, exercise.ladder
    return json.dumps(
        {
            "slug": slug,
            "url": f"exercises/{slug}/",
            "front": front.model_dump(mode="json", exclude_none=True),
            "cautions": list(cautions_for(front, vocabulary)),
            "level": level_of(front, facts),
            "known": known_minutes(front, facts),
            "facts": facts_as_json(facts) if facts else None,
            "ladder": ladder_as_json(ladder) if ladder else [],
            "load": loads_as_json(exercise.loads),
            "chords": _chords(exercise),
        },
        ensure_ascii=False,
        sort_keys=True,
    )


def _chords(exercise: Exercise) -> list[dict[str, Any]]:
    """The named chords of an exercise, as they stand in exercises.json: when each sounds, its name,
    its symbol in the first key and its Roman numeral."""
    facts = exercise.facts
    return [
        {
            "at": round(chord.at, 3),
            "beats": round(chord.beats, 3),
            "bar": chord.bar,
            "last_bar": chord.last_bar,
            **asdict(chord.name),
            "symbol": chord.name.symbol(facts.keys[0]),
            "numeral": chord.name.numeral(facts.mode),
        }
        for chord in exercise.chords
        if facts
    ]


def index_entry(slug: str, front: FrontMatter, ladder: LadderData | None) -> str:
    """The exercise's object in index.json, which pages load, as compact JSON text. `ladder` is what
    `ladder_for_browser` returns."""
    entry = {
        "slug": slug,
        "title": front.title,
        **({"plain": front.plain} if front.plain else {}),
        **({"ladder": ladder} if ladder else {}),
    }
    return json.dumps(entry, ensure_ascii=False, separators=(",", ":"))


def ladder_for_browser(exercise: Exercise) -> LadderData | None:
    """The ladder of an exercise (its keys, and what each voice sings in them) as the browser reads
    it; None if it has none."""
    octave = exercise.front.step_out == "octave"
    return ladder_as_data(exercise.ladder, may_change_octave=octave)
