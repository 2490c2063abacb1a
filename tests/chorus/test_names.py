"""Names in the two files agree with one another."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import pipeline
from chorus_handbook.chorus.names import RESERVED

Reported = list[tuple[str, int, int, str, str, str]]


@pytest.mark.parametrize("name", sorted(RESERVED))
@pytest.mark.parametrize(("old", "line", "kind"), [("tenor", 8, "voice"), ("lower", 11, "group")])
def test_words_of_the_notation_are_no_names(
    changed: Callable[[str, str], Reported], name: str, old: str, line: int, kind: str
) -> None:
    first = changed(f"  {old}:", f"  {name}:")[0]
    assert first[:4] == ("chorus.yml", line, 3, "field-value")
    assert (
        f'"{name}": at the start of a line of music, this word has another meaning' in first[4]
        and f"this {kind}" in first[5]
    )


def test_reserved_are_the_header_words_and_the_names_of_the_grammar() -> None:
    """As the notation has them: a voice of such a name could never be written."""
    assert {"all", "others", "leader", "meter", "pickup", "mode", "octave", "words"} == RESERVED


CHORUS, VOCABULARY = "chorus.yml", "vocabulary.yml"
CASES = [
    # old, new, file, line, column, code, in the message, in the hint
    ("  lower:", "  bass:", CHORUS, 11, 3, "field-value", "already a voice called", "another name"),
    ("[bass, tenor]", "[]", CHORUS, 11, 10, "field-value", "has no voices", "delete the group"),
    ("[bass, tenor]", "[bass, tenro]", CHORUS, 11, 17, "word-unknown", 'mean "tenor"?',
     '"soprano", "tenor", "bass"'),
    ("[bass, tenor]", "[lower]", CHORUS, 11, 11, "word-unknown", '"lower" is a group', "bass"),
    ("[bass, tenor]", "\n  - bass\n  - alto", CHORUS, 13, 5, "word-unknown", '"alto"', "bass"),
    ("cautions: [strain]}", "cautions: [strian]}", VOCABULARY, 5, 58, "word-unknown",
     'mean "strain"?', '"strain", "neck"'),
    ("cautions: [neck]}", "cautions: [nec]}", VOCABULARY, 10, 44, "word-unknown",
     'mean "neck"?', '"strain", "neck"'),
    ("  breath-flow:", "  index:", VOCABULARY, 2, 3, "field-value", "replace the list",
     "another name"),
    ("4: [strain]", "4: [strain, x]", VOCABULARY, 12, 15, "word-unknown", '"x"', "strain"),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_names_that_do_not_agree(
    changed: Callable[[str, str], Reported], case: tuple[str, str, str, int, int, str, str, str]
) -> None:
    old, new, file, line, column, code, message, hint = case
    (only,) = changed(old, new)
    assert only[:4] == (file, line, column, code)
    assert message in only[4] and hint in only[5]


def test_cautions_that_nobody_has_written_are_asked_for(
    changed: Callable[[str, str], Reported],
) -> None:
    text = "cautions:\n  strain: {text: Stop if it strains.}\n  neck: {text: Move gently.}\n"
    found_problems = changed(text, "")
    assert [problem[3] for problem in found_problems] == ["word-unknown"] * 4
    assert {problem[5] for problem in found_problems} == {'Define it first, below "cautions:".'}


@pytest.mark.parametrize("name", sorted(RESERVED))
@pytest.mark.parametrize("kind", ["voices", "groups"])
def test_a_name_that_means_something_else_is_a_problem_and_stops_nothing(
    project: Path, name: str, kind: str
) -> None:
    file = project / "handbook" / "chorus.yml"
    text = file.read_text(encoding="utf-8")
    if kind == "voices":
        text = text.replace("bass: {", name + ": {").replace("bass]", f"{name}]")
    else:
        text = text.replace("upper:", f"{name}:")
    file.write_text(text, encoding="utf-8")
    book = pipeline.read(project / "handbook")
    assert any(
        f'"{name}": at the start of a line of music, this word has another meaning' in p.message
        for p in book.problems
    )
    assert book.exercises  # what else could be read is shown
