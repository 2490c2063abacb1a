"""chorus.yml and vocabulary.yml, read together: a fault in one leaves the other in place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.chorus import ChorusConfig, read_chorus_config
from chorus_handbook.problems import Problem

Read = Callable[[str, str], tuple[ChorusConfig, list[Problem]]]


def test_both_are_read(read: Read, chorus_text: str, vocabulary_text: str) -> None:
    config, problems = read(chorus_text, vocabulary_text)
    assert problems == []
    assert config.chorus is not None and config.vocabulary is not None
    assert config.chorus.name == "Testing Chorus"
    assert config.vocabulary.impact_cautions == {4: ["strain"], 5: ["strain"]}


@pytest.mark.parametrize("bad", ["", "[", "name: A\nname: B\n", "- a", "a: b", "\x00"])
def test_a_fault_in_one_leaves_the_other(
    read: Read, chorus_text: str, vocabulary_text: str, bad: str
) -> None:
    config, problems = read(bad, vocabulary_text)
    assert config.chorus is None and config.vocabulary is not None
    assert {problem.place.path for problem in problems} == {"handbook/chorus.yml"}
    config, problems = read(chorus_text, bad)
    assert config.chorus is not None and config.vocabulary is None
    assert {problem.place.path for problem in problems} == {"handbook/vocabulary.yml"}


def test_files_that_are_not_there(tmp_path: Path) -> None:
    config, problems = read_chorus_config(tmp_path / "handbook")
    assert config == ChorusConfig()
    assert [(problem.place.path, problem.code) for problem in problems] == [
        ("handbook/chorus.yml", "file-missing"),
        ("handbook/vocabulary.yml", "file-missing"),
    ]


def test_a_doubled_field_is_told_and_the_rest_is_read(
    read: Read, chorus_text: str, vocabulary_text: str
) -> None:
    config, (problem,) = read(chorus_text + "name: Another\n", vocabulary_text)
    assert problem.code == "yaml-duplicate" and problem.place.line == 12
    assert config.chorus is not None and config.chorus.name == "Testing Chorus"


def test_words_that_older_yaml_changes_stay_words(
    read: Read, chorus_text: str, vocabulary_text: str
) -> None:
    chorus = chorus_text.replace("Testing Chorus", "no").replace("label: Tenor", "label: 1:30")
    config, problems = read(chorus, vocabulary_text)
    assert problems == [] and config.chorus is not None
    assert (config.chorus.name, config.chorus.voices["tenor"].label) == ("no", "1:30")
