"""The JSON Schema of the front matter, from the very model that validates it."""

from __future__ import annotations

from typing import Any

from chorus_handbook.entries.model import FrontMatter


def json_schema() -> dict[str, Any]:
    """A schema (draft 2020-12) with which editors complete and check the fields."""
    schema = FrontMatter.model_json_schema()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "An exercise of a chorus handbook",
    }
