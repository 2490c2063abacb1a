"""Problems on top of the pages while a handbook is being written."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest
from mkdocs.config import load_config

from chorus_handbook import pipeline
from chorus_handbook.mkdocs_plugin.plugin import ChorusHandbookPlugin
from chorus_handbook.mkdocs_plugin.problem_banner import banner, failure_banner
from chorus_handbook.problems import Place, Problem


def problem(line: int, code: str = "fence") -> Problem:
    return Problem(
        Place("handbook/<x>.md", line, 2), code, "Wrong & <b>bad</b>.", "Do <i>this</i>."
    )


def test_no_problems_no_banner() -> None:
    assert banner([]) == ""


def test_authors_words_are_escaped() -> None:
    html = banner([problem(3)])
    assert "&lt;x&gt;.md:3:2" in html and "<b>" not in html and "<i>" not in html


def test_notices_alone_stay_folded() -> None:
    assert " open>" in banner([problem(1)])
    assert " open>" not in banner([problem(1, "crossed-voices")])


def test_a_long_list_ends() -> None:
    html = banner([problem(line) for line in range(1, 31)])
    assert html.count("<li>") == 21 and "and 10 more" in html


def test_a_fault_of_the_program_hangs_no_page_while_serving(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("a <fault>")

    monkeypatch.setattr(pipeline, "read", fail)
    config = load_config(str(project / "mkdocs.yml"))
    plugin = config.plugins["chorus-handbook"]
    assert isinstance(plugin, ChorusHandbookPlugin)
    plugin.on_startup(command="serve", dirty=False)
    plugin.on_pre_build(config=config)
    html = failure_banner(RuntimeError("a <fault>"))
    page = SimpleNamespace(file=SimpleNamespace(src_uri="none.md"))  # all that the hook asks for
    assert plugin.on_page_content("x", page=page, config=config, files=None) == html + "x"
    assert "a &lt;fault&gt;" in html
