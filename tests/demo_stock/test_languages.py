"""The Latin, German and French words of the demo stand in a dictionary of their language: the
word forms of simplemma (https://github.com/adbar/simplemma), made from open word lists.
That a word is sung as its exercise says is common practice, from memory."""

from __future__ import annotations

import pytest
from simplemma import is_known

from checked import Checked
from chorus_handbook.entries.model import Entry

#: By exercise: its language, what is sung that is no word, and the further words of its text.
FOREIGN = {
    "mare-et-terra": ("la", {"ee", "eh", "ah", "oh", "oo"}, {"sol", "luna", "lux", "pax"}),
    "a-northern-port": ("de", {"ü", "ö"}, set[str]()),
    "a-southern-port": ("fr", set[str](), {"bonne", "bon"}),
}


@pytest.mark.parametrize("slug", FOREIGN)
def test_foreign_words_stand_in_a_dictionary(
    demo: Checked, stock: dict[str, Entry], slug: str
) -> None:
    language, sounds, further = FOREIGN[slug]
    assert all(word in stock[slug].source.text for word in further)
    sung = {word for phrase in demo.facts[slug].phrases for word in phrase.casefold().split()}
    words = sung - sounds | further
    assert len(words) >= 5 and sounds <= sung
    assert [word for word in sorted(words) if not is_known(word, lang=language)] == []


def test_the_dictionary_can_say_no() -> None:
    assert not any(is_known("terrra", lang=language) for language in ("la", "de", "fr"))
