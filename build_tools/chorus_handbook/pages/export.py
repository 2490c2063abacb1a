"""Makes exercises.json: every exercise with its fields and measured facts, for other programs.

The entry of each exercise is made with its record (`records.published`). No page loads this file.
`VERSION` is raised when a field is removed or changes its meaning, not when one is added.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from chorus_handbook.entries.schema import json_schema
from chorus_handbook.records import Exercise

#: 2: the front matter's `reminder` became `cue`.
VERSION = 2

#: One key of the ladder: for each voice, whether it is comfortable, at the edge of its range or
#: out.
_RUNG = {
    "type": "object",
    "required": ["key", "tonic_midi", "voices"],
    "properties": {
        "key": {"type": "string"},
        "tonic_midi": {"type": "integer"},
        "voices": {
            "type": "object",
            "additionalProperties": {"enum": ["comfortable", "edge", "out"]},
        },
    },
}
#: What a voice does in all keys that it sings: figures to compare exercises by, not limits.
_LOAD = {
    "type": "object",
    "required": ["voice", "keys", "voiced_seconds", "cycles"],
    "properties": {
        "voice": {"type": "string"},
        "keys": {"type": "integer"},
        "voiced_seconds": {"type": "number"},
        "cycles": {"type": "integer", "description": "Compare them within one voice only."},
    },
}
#: Steps along the scale and semitones, both above the tonic.
_PITCH_CLASS = {
    "type": "array",
    "items": {"type": "integer"},
    "minItems": 2,
    "maxItems": 2,
    "description": "Steps of the scale (0 to 6) and semitones (0 to 11) above the tonic.",
}
#: A chord of three or more pitch classes that lasts a beat or more.
_CHORD = {
    "type": "object",
    "required": ["at", "beats", "bar", "last_bar", "root", "quality", "bass", "symbol", "numeral"],
    "properties": {
        "at": {"type": "number", "description": "Beats from the start of a pass as it sounds."},
        "beats": {"type": "number"},
        "bar": {"type": "integer", "description": "As sung, from 1; a pickup is 0."},
        "last_bar": {"type": "integer", "description": "The last one in which it sounds."},
        "root": _PITCH_CLASS,
        "quality": {"type": "string", "description": "What a symbol has after its root."},
        "bass": _PITCH_CLASS,
        "symbol": {"type": "string", "description": "In the first key."},
        "numeral": {"type": "string"},
    },
}


def exercises_json(stock: Mapping[str, Exercise]) -> bytes:
    """The content of exercises.json, with one line for each exercise. Equal exercises give equal
    bytes. `stock` has all exercises, keyed by slug."""
    head = f'{{"version": {VERSION}, "schema": "exercises.schema.json", "exercises": ['
    entries = ",\n".join(stock[slug].export_entry for slug in sorted(stock))
    return f"{head}\n{entries}\n]}}\n".encode()


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
                        "level": {
                            "enum": [1, 2, 3, None],
                            "description": "As stated, or else as measured.",
                        },
                        "known": {
                            "type": "number",
                            "description": "Minutes once it is known, as stated or as measured.",
                        },
                        "facts": {"type": ["object", "null"]},
                        "ladder": {"type": "array", "items": _RUNG},
                        "load": {"type": "array", "items": _LOAD},
                        "chords": {"type": "array", "items": _CHORD},
                    },
                },
            },
        },
        "$defs": definitions,
    }
    return json.dumps(schema, indent=1, sort_keys=True).encode() + b"\n"
