"""Links between the pages of a handbook."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.pipeline import check
from chorus_handbook.problems import Place


@pytest.mark.parametrize(
    ("link", "found"),
    [
        ("[x](low-tide.md)", ""),
        ("[x](../goals/resonance.md)", ""),
        ("[x](index.md)", ""),
        ("[x](../index.md)", ""),
        ("[x](https://harbour.example/)", ""),
        ("![A quay](quay.png)", ""),
        ("[x](resonanse.md)", 'Did you mean "../goals/resonance.md"?'),
        ("[x](../goals/resonanse.md)", 'Did you mean "../goals/resonance.md"?'),
        ("[x](low-tied.md)", "leads nowhere: there is no such page or file."),
        ("[x](../goals/courage.md)", "leads nowhere"),
        ("![A quay](quai.png)", "leads nowhere"),
        ("[x](../chorus.yml)", "not published"),
    ],
)
def test_links_lead_somewhere(project: Path, link: str, found: str) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    (exercise.parent / "quay.png").write_bytes(b"\x89PNG")
    text = exercise.read_text(encoding="utf-8").replace("1. Hum it.", f"1. Hum it. {link}")
    exercise.write_text(text, encoding="utf-8")
    problems = check(project / "handbook")
    if not found:
        assert problems == []
    else:
        (problem,) = problems
        assert problem.code == "link-broken" and found in problem.message
        assert '"low-tide.md"' not in problem.message  # the page with the link itself
        assert (problem.place.line, problem.place.column) == (22, 12 + link.index("](") + 2)


MORE = """
## Variations
### At half speed
Slowly.[^1]

[^1]: A note.
"""
VIEWS = """
- slug: gentle
  title: Gentle
  intro: Little effort.
  where: {impact: at most 2}
"""
#: Ids that the author wrote, and that pages have by themselves.
LEADS = [
    *("#how-to-run-it", "#say", "#variations", "#at-half-speed", "#", "#top", "#fn:1"),
    *("#hb-voices", "low-tide.md#hb-voices", "?print#variations", "#:~:text=Hum", "#%76ariations"),
    *("index.md#l", "../index.md#for-assistants", "../views/index.md#hb-situation"),
    *("https://harbour.example/#anything", "quay.png#anything"),
]
ASTRAY = [
    ("#varations", "#variations"),
    ("#Variations", "#variations"),
    ("#hb-voice", "#hb-voices"),
    ("#hb-kin", ""),
    ("low-tide.md#sing-it", ""),
    ("index.md#m", ""),
    ("../index.md#for-assistents", "#for-assistants"),
    ("../voice-care.md#hoarseness", ""),
    ("../goals/resonance.md#how-to-run-it", ""),
    ("../views/index.md#by-situation", "#hb-situation"),
]


def test_a_page_links_to_headings_too(project: Path) -> None:
    page = project / "handbook" / "hoarse.md"
    page.write_text("Rest, then [hum](exercises/low-tide.md#saying), [why](#why).\n\n# Why\n")
    (problem,) = check(project / "handbook")
    assert (problem.code, problem.place) == ("link-heading", Place("handbook/hoarse.md", 1, 18))
    assert 'Did you mean "#say"?' in problem.message


def test_links_lead_to_a_heading(project: Path) -> None:
    """From an exercise and from a page, to what authors write and to what is made."""
    handbook = project / "handbook"
    exercise = handbook / "exercises" / "low-tide.md"
    (exercise.parent / "quay.png").write_bytes(b"\x89PNG")
    (handbook / "index.md").write_text("# Welcome\n\n## For assistants\nCome in.\n", "utf-8")
    (handbook / "views.yml").write_text(VIEWS, "utf-8")
    links = [*((address, "") for address in LEADS), *ASTRAY]
    assert len(links) == len({*links})
    text = exercise.read_text("utf-8") + MORE
    first = text.count("\n") + 1
    exercise.write_text(text + "".join(f"- [x]({address})\n" for address, _ in links), "utf-8")
    problems = check(handbook)
    found = {problem.place.line - first: problem for problem in problems}
    assert len(found) == len(problems)
    assert [*found] == [*range(len(LEADS), len(links))], list(found.values())[:3]
    for number, problem in found.items():
        address, meant = links[number]
        assert (problem.code, problem.place.column) == ("link-heading", 7)
        assert f'"{address}"' in problem.message
        assert (
            (f'Did you mean "{meant}"?' in problem.message)
            if meant
            else ("Did you mean" not in problem.message)
        )
