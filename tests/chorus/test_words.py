"""Everyday words: read, told apart, and held against the pages there are."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.words import EverydayWord, check_words, words_by_page
from chorus_handbook.problems import Place, Problem

ReadConfig = Callable[[str, str], tuple[ChorusConfig, list[Problem]]]
PAGES = {
    "index.md",
    "voice-care.md",
    "exercises/slipway.md",
    "goals/tuning.md",
    "views/quartet.md",
    "views/index.md",
}


@pytest.fixture
def with_words(
    read: ReadConfig, chorus_text: str, vocabulary_text: str
) -> Callable[[str], tuple[ChorusConfig, list[Problem]]]:
    return lambda words: read(chorus_text, f"{vocabulary_text}words:\n{words}")


def test_a_word_leads_to_one_page_or_several(
    with_words: Callable[[str], tuple[ChorusConfig, list[Problem]]],
) -> None:
    config, problems = with_words(
        "  sore throat: voice-care\n  lip roll: [exercises/slipway, goals/tuning]\n"
    )
    assert problems == [] and config.vocabulary
    assert [(word.text, word.page, word.place.line) for word in config.words] == [
        ("sore throat", "voice-care.md", 15),
        ("lip roll", "exercises/slipway.md", 16),
        ("lip roll", "goals/tuning.md", 16),
    ]
    assert config.words[2].place.column > config.words[1].place.column
    assert check_words(config.words, PAGES) == []
    assert words_by_page(config.vocabulary) == {
        "voice-care.md": ["sore throat"],
        "exercises/slipway.md": ["lip roll"],
        "goals/tuning.md": ["lip roll"],
    }


@pytest.mark.parametrize(
    ("target", "meant"),
    [
        ("exercises/slipwey", "exercises/slipway"),
        ("slipway", "exercises/slipway"),  # the folder forgotten
        ("goals/quartet", "views/quartet"),  # the wrong one
        ("goals/quartett", "views/quartet"),
        ("voicecare", "voice-care"),
        ("exercises/slipway.md", "exercises/slipway"),
        ("somewhere/else", ""),
    ],
)
def test_a_word_that_leads_nowhere_is_told_where_it_stands(target: str, meant: str) -> None:
    word = EverydayWord("kids", f"{target}.md", Place("handbook/vocabulary.yml", 7, 9))
    (problem,) = check_words([word], PAGES)
    assert (problem.code, problem.severity) == ("link-broken", "error")
    assert problem.place == word.place
    assert problem.message == (
        f'The everyday word "kids" leads to "{target}", but there is no such page.'
        + (f' Did you mean "{meant}"?' if meant else "")
    )
    assert 'without ".md"' in problem.hint


@pytest.mark.parametrize("again", ["Sore throat", "sore  throat", "SORE THROAT"])
def test_one_word_stands_once(
    with_words: Callable[[str], tuple[ChorusConfig, list[Problem]]], again: str
) -> None:
    _, (problem,) = with_words(f"  sore throat: voice-care\n  {again}: voice-care\n")
    assert (problem.code, problem.place.line) == ("field-value", 16)
    assert "same word" in problem.message


@pytest.mark.parametrize(
    ("written", "in_message"),
    [
        ("  siren: []\n", "words"),
        ("  siren: {page: voice-care}\n", "words"),
        ("  siren:\n", "words"),
        ("  - siren\n", "words"),
    ],
)
def test_what_is_no_table_of_words_is_told(
    with_words: Callable[[str], tuple[ChorusConfig, list[Problem]]], written: str, in_message: str
) -> None:
    config, problems = with_words(written)
    assert config.words == () and len(problems) == 1
    assert problems[0].severity == "error" and problems[0].hint
    assert problems[0].place.path == "handbook/vocabulary.yml"
    assert in_message in problems[0].message or "siren" in problems[0].message
