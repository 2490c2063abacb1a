"""docs/commands.md knows every command and every option, and no others."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import pytest

from chorus_handbook.commands import MODULES, parser
from chorus_handbook.failures import DEBUG

TEXT = (Path(__file__).parent.parent / "docs" / "commands.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## handbook (\w+)\n(.*?)(?=^## |\Z)", TEXT, re.MULTILINE | re.DOTALL))
(COMMANDS,) = (a for a in parser()._actions if isinstance(a, argparse._SubParsersAction))
#: Said once, for all commands; and those that `import` shares with `new`.
COMMON, SHARED = {"--help", "--project"}, ("--title", "--summary", "--goal", "--sounding")


def test_the_sections_are_the_commands_in_their_order() -> None:
    assert list(SECTIONS) == list(MODULES)
    assert "--project DIR" in TEXT and "--version" in TEXT and f"{DEBUG}=1" in TEXT


@pytest.mark.parametrize("name", MODULES)
def test_every_option_is_explained_and_none_that_is_not_there(name: str) -> None:
    actions = COMMANDS.choices[name]._actions
    options = {o for a in actions for o in a.option_strings if o.startswith("--")} - COMMON
    documented = set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", SECTIONS[name]))
    if name == "import":
        assert options - documented == {*SHARED, "--impact", "--level", "--minutes", "--plain"}
        assert "options of `new`" in SECTIONS[name] and documented - options == {"--silent"}
    else:
        assert documented == options
    for action in actions:
        for choice in action.choices or ():
            assert f"{action.option_strings[0]} {choice}" in SECTIONS[name]
        if not action.option_strings:
            assert f"{action.metavar or action.dest.upper()}" in SECTIONS[name]


@pytest.mark.parametrize("name", MODULES)
def test_the_project_may_be_named_before_and_after_the_command(name: str) -> None:
    one = {"import": "x.abc", "measure": "x", "cue": "x", "sung": "x.yml"}
    needed = [one[name]] if name in one else ["x", "y"] if name == "adopt" else []
    for words in (["--project", "there", name, *needed], [name, *needed, "--project", "there"]):
        assert parser(words).parse_args(words).project == Path("there")
    assert parser([name]).parse_args([name, *needed]).project == Path()
