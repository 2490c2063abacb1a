"""New exercises are valid whatever their title is."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.entries import read_entry
from chorus_handbook.entries.draft import draft, in_yaml
from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

LINES = st.text(
    st.characters(exclude_categories=("C", "Z"), include_characters=" "), min_size=1, max_size=60
).filter(str.strip)


@given(LINES)
def test_any_line_comes_back_from_yaml(text: str) -> None:
    document, problems = read_yaml(f"text: {in_yaml(text)}", Place("x"))
    assert problems == [] and document
    assert document.data == {"text": text}


@given(LINES, LINES)
def test_a_draft_is_a_valid_exercise(title: str, summary: str) -> None:
    text = draft(
        title=title,
        summary=summary,
        goals=["resonance"],
        impact=2,
        sounding="hum",
        minutes=1.5,
        notated=True,
    )
    source, entry, problems = read_entry(text, "a", "handbook/exercises/a.md")
    assert problems == [] and entry
    assert (entry.front.title, entry.front.summary) == (title, summary)
    assert source.notation and source.notation.kind == "degrees"
