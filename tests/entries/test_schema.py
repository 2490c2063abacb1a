"""The JSON Schema and the validation are one."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest
import yaml

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.entries.schema import json_schema

EXERCISES = sorted((Path(__file__).parents[2] / "handbook" / "exercises").glob("*.md"))


def test_the_schema_is_a_schema_and_every_field_is_described() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert set(schema["properties"]) == set(FrontMatter.model_fields)
    assert all(field.get("description") for field in schema["properties"].values())


@pytest.mark.parametrize("file", EXERCISES, ids=lambda file: file.stem)
def test_the_demo_fits_the_schema(file: Path) -> None:
    front = file.read_text(encoding="utf-8").split("---\n")[1]
    # Read by YAML's plain loader with every scalar a string, numbers apart.
    data = yaml.safe_load(front)
    jsonschema.validate(data, json_schema())
