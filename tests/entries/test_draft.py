"""New exercises are valid whatever their title is."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.chorus.model import NotationKind
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.draft import draft, in_yaml
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.entries.placeholders import check_placeholders
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


@given(LINES, LINES, st.sampled_from(["sung", "spoken", "none"]))
def test_a_draft_is_a_valid_exercise(title: str, summary: str, notation: NotationKind) -> None:
    text = draft(
        title=title,
        summary=summary,
        goals=["resonance"],
        impact=2,
        sounding="hum",
        minutes=1.5,
        notation=notation,
    )
    source, entry, problems = read_entry(text, "a", "handbook/exercises/a.md")
    assert [problem.code for problem in problems] == ["placeholder"] and entry
    assert (entry.front.title, entry.front.summary) == (title, summary)
    assert (source.notation is None) == (notation == "none")


def test_every_text_in_brackets_is_asked_for() -> None:
    text = draft(
        title="A",
        summary="B",
        goals=["c"],
        impact=1,
        sounding="d",
        minutes=1,
        notation="sung",
    )
    body = text.split("---\n", 2)[2]
    while "[" in body:
        (problem,) = check_placeholders(body, "a.md", EXERCISE)
        line = body.split("\n")[problem.place.line - 1]
        found = line[problem.place.column - 1 :].partition("]")[0] + "]"
        assert problem.message.startswith(f'"{found}"')
        body = body.replace(found, "Done.", 1)
    assert check_placeholders(body, "a.md", EXERCISE) == []


def test_brackets_of_an_authors_own_are_text() -> None:
    assert check_placeholders("[All clap.] [A link](b.md) [how]", "a.md", EXERCISE) == []
