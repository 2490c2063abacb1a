"""Every text of the demo says something of its own, and little before the score."""

from __future__ import annotations

import re
from collections import defaultdict

from chorus_handbook.entries.model import Entry

#: Summary, reason and what to say. Measured on a screen of 390 x 844 in the built site: with 70
#: words, and with the cautions of impact 5, the score still begins on the first screen.
MOST_WORDS_BEFORE_THE_SCORE = 70
#: The whole text, without notation.
MOST_WORDS = 400
#: "Seated: as it stands." may be said of many; it is the truth and no filler.
_TOO_SHORT_TO_TELL = 6
_FENCE = re.compile(r"(?ms)^```.*?^```$")


def text_of(entry: Entry, *headings: str) -> str:
    return "\n\n".join(
        _FENCE.sub("", section.markdown)
        for section in entry.source.sections
        if not headings or section.heading in headings
    )


def pieces(entry: Entry) -> list[str]:
    """Paragraphs and list items, bare of marks and times."""
    found = re.split(r"\n\s*\n|\n(?=\d+\. |- )", text_of(entry))
    bare = (re.sub(r"^\s*(\d+\.|-)\s*(\(.*?\))?", "", piece.strip()) for piece in found)
    return [" ".join(re.findall(r"\w+", piece.lower())) for piece in bare]


def test_no_two_exercises_share_a_paragraph_or_an_item(stock: dict[str, Entry]) -> None:
    where = defaultdict(set)
    for slug, entry in stock.items():
        for piece in (*pieces(entry), entry.front.summary.lower()):
            if len(piece.split()) >= _TOO_SHORT_TO_TELL:
                where[piece].add(slug)
    assert {piece: slugs for piece, slugs in where.items() if len(slugs) > 1} == {}


def test_no_exercise_repeats_itself(stock: dict[str, Entry]) -> None:
    for slug, entry in stock.items():
        own = [piece for piece in pieces(entry) if len(piece.split()) >= _TOO_SHORT_TO_TELL]
        assert len(own) == len(set(own)), slug


def test_nothing_waits_to_be_filled_in(stock: dict[str, Entry]) -> None:
    for slug, entry in stock.items():
        text = f"{entry.front.title} {entry.front.summary} {text_of(entry)}"
        assert not re.search(r"\[[^\]]*\](?!\()|<[a-z]|\b(?:TODO|TBD|XXX|lorem)\b", text), slug
        assert not re.search(r"(?m)^\s*(?:-|\d+\.)\s*\S{0,3}$", text), slug


def test_little_stands_before_the_score(stock: dict[str, Entry]) -> None:
    lengths = {
        slug: len(f"{entry.front.summary} {text_of(entry, '', 'Say')}".split())
        for slug, entry in stock.items()
    }
    assert {s: n for s, n in lengths.items() if n > MOST_WORDS_BEFORE_THE_SCORE} == {}


def test_no_text_is_long(stock: dict[str, Entry]) -> None:
    lengths = {slug: len(text_of(entry).split()) for slug, entry in stock.items()}
    assert {slug: words for slug, words in lengths.items() if words > MOST_WORDS} == {}


def test_every_exercise_has_the_parts_that_make_it_usable(stock: dict[str, Entry]) -> None:
    wanted = ["", "Say", "How to run it", "Listen for", "What goes wrong", "Make it fit"]
    for slug, entry in stock.items():
        headings = [section.heading for section in entry.source.sections]
        assert headings == [*wanted, "Variations"], slug
        fit = text_of(entry, "Make it fit")
        for way in ("Easier", "Harder", "Small group"):
            assert f"**{way}:**" in fit, (slug, way)
        assert ("**Standing:**" if entry.front.formation == "seated" else "**Seated:**") in fit, (
            slug
        )
        assert entry.front.cue, slug
        faults = re.findall(r"(?m)^- \*\*.+?\*\* \S.+$", text_of(entry, "What goes wrong"))
        assert len(faults) >= 3, slug


def test_what_to_say_can_be_said_in_one_breath_or_two(stock: dict[str, Entry]) -> None:
    for slug, entry in stock.items():
        said = text_of(entry, "Say")
        assert len(said.split()) <= 40, slug
        assert len(re.findall(r"[.!?](?:\s|$)", said)) <= 3, slug
