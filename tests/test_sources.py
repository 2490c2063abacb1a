"""What the project cites is what a reader of the repository can look up."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PROJECT = Path(__file__).parent.parent
#: Papers and people that are not in the repository, in words that a reader cannot follow.
_ELSEWHERE = re.compile(
    r"\b(?:facts|found|design|practice|trials)\.md\b"
    r"|\bthe design(?:'s| says| asks)\b|\bthe project's facts\b|\bthe trials\b"
    r"|\bby whose authority\b|\bthe issue (?:says|asks)\b",
    re.IGNORECASE,
)
_TEXTS = ("*.py", "*.js", "*.css", "*.html", "*.md", "*.yml", "*.txt", "*.toml", "*.json")
FILES = sorted(
    path
    for place in ("build_tools", "tests", "docs", "handbook")
    for kind in _TEXTS
    for path in (PROJECT / place).rglob(kind)
    if path != Path(__file__)
)


def citations_of_elsewhere(text: str) -> list[str]:
    """Also where a line break or a comment sign stands inside the words."""
    return _ELSEWHERE.findall(re.sub(r"\s+(?:#:? )?", " ", text))


@pytest.mark.parametrize("place", ["build_tools", "tests", "docs", "handbook"])
def test_nothing_is_cited_that_the_repository_does_not_hold(place: str) -> None:
    read = [path for path in FILES if path.relative_to(PROJECT).parts[0] == place]
    assert read
    found = {str(path): citations_of_elsewhere(path.read_text("utf-8")) for path in read}
    assert {path: words for path, words in found.items() if words} == {}


def test_such_citations_would_be_seen() -> None:
    assert citations_of_elsewhere("#: facts.md: not valid") == ["facts.md"]
    assert citations_of_elsewhere("By\n# whose authority: ours") == ["By whose authority"]
    assert citations_of_elsewhere("Source: common practice, by design.") == []


VOICE_CARE = (PROJECT / "handbook" / "voice-care.md").read_text("utf-8")
#: A study or guideline as the text names it: "(Maslan and others, 2011)", "(AAO-HNS, 2018)".
_STUDY = re.compile(r"\(?((?:review by )?[A-Z][\w-]+(?: and [A-Za-z]+)?), ((?:19|20)\d\d)\)")


def test_the_voice_care_page_lists_what_it_cites() -> None:
    """Title and address, the same as in docs/sources.md."""
    text, _, listed = VOICE_CARE.partition("\n## Sources\n")
    cited = {(who.removeprefix("review by "), year) for who, year in _STUDY.findall(text)}
    assert len(cited) >= 5
    entries = listed.strip().split("\n- ")[1:]
    for who, year in cited:
        assert any(entry.startswith(f"{who}, {year}: ") for entry in entries), (who, year)
    sources = (PROJECT / "docs" / "sources.md").read_text("utf-8")
    for entry in entries:
        address = re.search(r"\]\((https://[^)]+)\)", entry)
        assert "Archived" in entry
        assert address is None or f"<{address[1]}>" in sources, entry
        assert address or "address not recorded" in entry, entry
