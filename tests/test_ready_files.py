"""What the pages on beginning and publishing give to copy can be read by what reads it."""

from __future__ import annotations

import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from chorus_handbook.commands import parser
from chorus_handbook.commands.init import READY

DOCS = Path(__file__).parent.parent / "docs"
PAGES = {name: (DOCS / name).read_text("utf-8") for name in ("your-own.md", "publishing.md")}
_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)


def blocks(*languages: str) -> Iterator[str]:
    for text in PAGES.values():
        yield from (block for language, block in _BLOCK.findall(text) if language in languages)


def test_settings_and_workflows_are_yaml() -> None:
    found = [yaml.safe_load(block) for block in blocks("yaml")]
    assert len(found) >= 4
    (flow,) = (one for one in found if "jobs" in one)
    steps = flow["jobs"]["build"]["steps"]
    assert [step["run"] for step in steps if "run" in step][-1] == "handbook build"
    kept = next(step["with"] for step in steps if step["uses"].startswith("actions/cache"))
    assert kept["path"] == ".cache/handbook"  # where `commands/project.py` puts it


def test_lines_for_a_shell_can_be_read_by_one() -> None:
    found = [block for block in blocks("sh") if not block.startswith("17 5 * * 1 ")]
    assert len(found) >= 5
    for block in found:
        done = subprocess.run(
            ["sh", "-n"], input=block, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, (block, done.stderr)


def commands() -> list[str]:
    text = "\n".join(
        [*blocks("sh", "yaml"), *re.findall(r"`(handbook [^`]+)`", "".join(PAGES.values()))]
    )
    lines = re.findall(r"\bhandbook (?!checked)((?:[a-z]+)(?: [^&|\n>]*)?)", text)
    return sorted({line.strip() for line in lines if line.split()[0] in ALL})


ALL = ("init", "new", "import", "check", "build", "serve", "plan", "schema")


@pytest.mark.parametrize("line", commands())
def test_every_command_has_these_words(line: str) -> None:
    words = shlex.split(line)
    needed = ["x.abc"] if words == ["import"] else []
    assert parser(words).parse_args([*words, *needed]).command == words[0]


def test_every_ready_chorus_is_told() -> None:
    text = (DOCS / "commands.md").read_text("utf-8")
    for kind, what in READY.items():
        assert f"| `--singers {kind}` | {what} |" in text
