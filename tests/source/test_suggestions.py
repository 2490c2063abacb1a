"""What is suggested can be typed as it stands. PyYAML's own loader reads it back."""

from __future__ import annotations

import yaml
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.source.suggestions import as_text, in_brackets, one_of, quoted

LINE = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1
)
SIGNS = st.text(st.sampled_from("ab Z1 :#,[]{}'\"\\&*!|>%@`-~?"), min_size=1, max_size=12)


@given(LINE | SIGNS)
def test_a_text_in_quotes_is_read_back(text: str) -> None:
    assert yaml.safe_load(f"title: {quoted(text)}") == {"title": text}


@given(st.lists(LINE | SIGNS, min_size=1, max_size=3))
def test_texts_stand_in_brackets_as_they_are(texts: list[str]) -> None:
    written = f"list: [{', '.join(map(as_text, texts))}]"
    assert yaml.safe_load(written) == {"list": texts}


def anything(_: object) -> bool:
    return True


@given(LINE | SIGNS)
def test_a_list_is_suggested_only_if_it_can_be_read(text: str) -> None:
    written = in_brackets(text, anything)
    if written is not None:
        items = yaml.safe_load(written)
        assert items and all(item in " ".join(text.split()) for item in items)


def test_what_does_not_fit_is_not_suggested() -> None:
    def names_only(value: object) -> bool:
        return isinstance(value, list) and all(item.islower() for item in value)

    assert in_brackets("Blend, Tone", names_only) == "[blend, tone]"
    assert in_brackets("Blend, 4", names_only) is None
    assert in_brackets("One and all, Trial", anything) == "[One and all, Trial]"
    assert in_brackets("x" * 99, names_only) is None
    assert one_of("circle, seated", anything) == ["circle", "seated"]
    assert one_of("in a circle", anything) == []
    assert one_of("circle, seated", lambda _: False) == []
