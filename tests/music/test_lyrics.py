"""Words under notes by the rules of the ABC standard 2.1, section 5 (`w:`)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.music.lyrics import Underlay, lay_under, read_words
from chorus_handbook.problems import Place

HERE = Place("case.md", 7, 8)


def under(text: str, bars: str) -> Underlay:
    """Words under notes; each digit is a note, standing for the bar it begins in."""
    words, problems = read_words(text, HERE)
    assert problems == []
    return lay_under(words, [int(bar) for bar in bars])


def reported(text: str, bars: str) -> str:
    """The syllables: a hyphen where a word goes on, _ for each note held, . for none."""
    return " ".join(
        s.text + "-" * s.joined + "_" * s.melisma if s else "." for s in under(text, bars).syllables
    )


@pytest.mark.parametrize(
    ("word", "right"),
    [
        ("la\N{GRINNING FACE}", False),
        ("\N{HEAVY BLACK HEART}\N{VARIATION SELECTOR-16}", False),
        ("\N{MUSICAL SYMBOL G CLEF}", False),
        ("\ue000", False),
        ("B\N{MUSIC FLAT SIGN}", True),
        ("F\N{MUSIC SHARP SIGN}", True),
        ("æ", True),
        ("漢", True),
        ("(mm)", True),
    ],
)
def test_pictures_are_no_syllables(word: str, right: bool) -> None:
    """By the general categories of Unicode."""
    _, problems = read_words(f"la {word} la", HERE)
    found = [(problem.place.column, problem.code) for problem in problems]
    assert found == ([] if right else [(HERE.column + 3, "notation-token")])


@pytest.mark.parametrize(
    ("text", "syllables"),
    [
        # The standard's own example, ABC 2.1, section 5: syllables, an empty w:, syllables.
        ("doh re mi fa", "doh re mi fa"),
        ("", ". . . ."),
        ("fa mi re doh", "fa mi re doh"),
        # The signs of the standard's table, one by one.
        ("syll-a-ble song", "syll- a- ble song"),
        ("time__ on", "time__ . . on"),
        ("time _ _ on", "time__ . . on"),
        ("of~the day * night", "of the day . night"),
        (r"so\-so la la la", "so-so la la la"),
        ("a--b c", "a-_ . b c"),
        ("a - b c", "a-_ . b c"),
        ("ah-_men oh", "ah-_ . men oh"),
        ("ah-__men", "ah-__ . . men"),
        # A hyphen of its own at the end of a word that does not go on is a held note.
        ("ah - oh", "ah-_ . oh ."),
        ("oh ah -", "oh ah_ . ."),
        ("one two three four-", "one two three four-"),
        ("* ma * me", ". ma . me"),
        # Our own sign.
        ("brr ...", "brr___ . . ."),
        ("ma me ...", "ma me__ . ."),
        ("ma me mi mo ...", "ma me mi mo"),
        ("ma me ... |", "ma me__ . ."),
    ],
)
def test_syllables_of_four_notes(text: str, syllables: str) -> None:
    assert reported(text, "0000") == syllables


@pytest.mark.parametrize(
    ("text", "bars", "syllables"),
    [
        ("a b | c d", "0011", "a b c d"),
        ("a|b", "0011", "a . b ."),
        ("a | b", "0011", "a . b ."),
        ("a b c | d", "0011", "a b c d"),  # too many syllables: | is ignored
        ("| a", "0011", ". . a ."),
        ("a | | b", "001122", "a . . . b ."),
        ("a _ | b", "000111", "a_ . . b . ."),
        ("a | _ b", "0011", "a . . b"),  # nothing is held across notes without a syllable
        ("a ... ", "0011", "a___ . . ."),
        # bars without a note of their own: a rest, or a note tied over
        ("a b | | c", "0022", "a b c ."),
        ("a | b", "0022", "a . b ."),
        ("a b | c | d", "002233", "a b c . d ."),
        ("| a | b", "1122", "a . b ."),
    ],
)
def test_bar_lines_go_on_to_the_next_bar(text: str, bars: str, syllables: str) -> None:
    assert reported(text, bars) == syllables


@pytest.mark.parametrize(
    ("text", "filled", "surplus"),
    [
        ("a b c", 3, None),
        ("a b c d", 4, None),
        ("a b c d e f", 6, 16),
        ("a b _ _ _", 5, 16),
        ("a-b-c-d-e", 5, 16),
        ("a * * * *", 5, 16),
        ("a b ...", 4, None),
        ("a b c d e ...", 5, 16),
        ("", 4, None),
        ("a |", 4, None),
    ],
)
def test_how_many_of_four_notes_the_words_fill(text: str, filled: int, surplus: int | None) -> None:
    found = under(text, "0000")
    assert found.filled == filled
    assert found.surplus == (None if surplus is None else Place("case.md", 7, surplus))


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("_ a", [8]),
        ("- a", [8]),
        ("... ", [8]),
        ("... a", [8, 8]),
        ("a ... b c", [10]),
        ("la...", [8]),
        ("a_-b", [10]),
        ("a b _-", [13]),
    ],
)
def test_words_that_make_no_sense(text: str, columns: list[int]) -> None:
    _, problems = read_words(text, HERE)
    assert [(p.code, p.place.line, p.place.column) for p in problems] == [
        ("notation-token", 7, column) for column in columns
    ]


@given(st.text(alphabet="ab-_*~|\\. …", max_size=60), st.lists(st.integers(0, 5), max_size=12))
def test_any_words_lie_under_any_notes(text: str, bars: list[int]) -> None:
    words, _ = read_words(text, HERE)
    found = lay_under(words, sorted(bars))
    assert len(found.syllables) == len(bars)
    for note, syllable in enumerate(found.syllables):
        if syllable:  # what is held is held over notes that have no syllable of their own
            held = found.syllables[note + 1 : note + 1 + syllable.melisma]
            assert list(held) == [None] * syllable.melisma
    assert (found.surplus is not None) == (found.filled > len(bars))
