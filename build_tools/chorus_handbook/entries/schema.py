"""Makes the JSON Schema of the fields of an exercise from the pydantic model that validates
them."""

from __future__ import annotations

from typing import Any

from chorus_handbook.entries.model import FrontMatter


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of an exercise's fields, with which text editors can complete
    and check them."""
    schema = FrontMatter.model_json_schema()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "An exercise of a chorus handbook",
    }
