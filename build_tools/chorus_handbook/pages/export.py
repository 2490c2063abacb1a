"""exercises.json: every exercise with front matter and measured facts, for other programs.

No page loads it. `VERSION` rises when a field changes its meaning or goes; new fields keep it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.schema import json_schema
from chorus_handbook.music.facts_json import facts_as_json
from chorus_handbook.pages.exercise import Exercise

VERSION = 1


def exercises_json(stock: Mapping[str, Exercise], vocabulary: Vocabulary) -> bytes:
    """The data file, the same bytes for the same stock."""
    exercises: list[dict[str, Any]] = []
    for slug, exercise in sorted(stock.items()):
        front = exercise.entry.front
        exercises.append(
            {
                "slug": slug,
                "url": f"exercises/{slug}/",
                "front": front.model_dump(mode="json", exclude_none=True),
                "cautions": list(cautions_for(front, vocabulary)),
                "facts": facts_as_json(exercise.facts) if exercise.facts else None,
            }
        )
    data = {"version": VERSION, "schema": "exercises.schema.json", "exercises": exercises}
    return json.dumps(data, ensure_ascii=False, indent=1, sort_keys=True).encode() + b"\n"


def exercises_schema() -> bytes:
    """The JSON Schema of exercises.json (draft 2020-12)."""
    front = json_schema()
    definitions = front.pop("$defs", {})
    front.pop("$schema", None)
    front.pop("$id", None)
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The exercises of a chorus handbook",
        "type": "object",
        "required": ["version", "exercises"],
        "properties": {
            "version": {"const": VERSION},
            "exercises": {
                "type": "array",
                "items": {
                    "type": "object",
                    "required": ["slug", "url", "front", "cautions", "facts"],
                    "properties": {
                        "slug": {"type": "string"},
                        "url": {"type": "string"},
                        "front": front,
                        "cautions": {"type": "array", "items": {"type": "string"}},
                        "facts": {"type": ["object", "null"]},
                    },
                },
            },
        },
        "$defs": definitions,
    }
    return json.dumps(schema, indent=1, sort_keys=True).encode() + b"\n"
