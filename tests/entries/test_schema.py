"""The JSON Schema and the validation are one."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.entries.schema import json_schema
from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

EXERCISES = sorted((Path(__file__).parents[2] / "handbook" / "exercises").glob("*.md"))


def test_the_schema_is_a_schema_and_every_field_is_described() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert set(schema["properties"]) == set(FrontMatter.model_fields)
    assert all(field.get("description") for field in schema["properties"].values())


@pytest.mark.parametrize("file", EXERCISES, ids=lambda file: file.stem)
def test_the_demo_fits_the_schema(file: Path) -> None:
    front = file.read_text(encoding="utf-8").split("---\n")[1]
    document, _ = read_yaml(front, Place(file.name))  # by the rules of YAML 1.2: no is a word
    assert document
    jsonschema.validate(document.data, json_schema())
