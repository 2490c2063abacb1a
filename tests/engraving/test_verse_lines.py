"""Words of two voices on one staff never lie on top of each other."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from chorus_handbook.engraving.verse_lines import set_lines


def note(voice: str, *lyrics: str, more: str = "") -> str:
    sung_text = "".join(
        f"<lyric{attributes}><text>{text}</text></lyric>"
        for text, _, attributes in (lyric.partition("|") for lyric in lyrics)
    )
    return f"<note>{more}<duration>2</duration><voice>{voice}</voice>{sung_text}</note>"


BACK = "<backup><duration>4</duration></backup>"


def lines(*measures: str) -> list[tuple[str, str]]:
    """Each syllable with the line on which it stands."""
    inside = "".join(f"<measure>{measure}</measure>" for measure in measures)
    part = ET.fromstring(f"<part>{inside}</part>")
    set_lines(part)
    return [(x.findtext("text", ""), x.get("number", "")) for x in part.iter("lyric")]


def test_one_voice_keeps_its_numbers() -> None:
    given = note("1", 'a| number="1"', 'b| number="3"') + note("1", "c")
    assert lines(given) == [("a", "1"), ("b", "3"), ("c", "1")]


def test_another_voice_gets_a_line_of_its_own() -> None:
    given = note("1", "a") + note("1", "b") + BACK + note("2", "c") + note("2", "d")
    assert lines(given) == [("a", "1"), ("b", "1"), ("c", "2"), ("d", "2")]


def test_words_that_are_the_same_are_set_once() -> None:
    given = note("1", "a") + note("1", "b") + BACK + note("2", "a") + note("2", "b")
    assert lines(given) == [("a", "1"), ("b", "1")]


def test_the_same_words_at_another_time_are_not() -> None:
    given = note("1", "a") + note("1", "b") + BACK + note("2", "b") + note("2", "a")
    assert lines(given) == [("a", "1"), ("b", "1"), ("b", "2"), ("a", "2")]
    assert lines(note("1", "a"), note("2", "a")) == [("a", "1"), ("a", "2")]


def test_words_above_and_below_are_apart() -> None:
    given = note("1", 'a| placement="above"') + BACK + note("2", "c")
    assert lines(given) == [("a", "1"), ("c", "1")]


def test_verses_that_differ_in_name_only_are_apart() -> None:
    given = note("1", 'a| number="1" name="Verse"', 'b| number="1" name="Chorus"')
    assert lines(given) == [("a", "1"), ("b", "2")]


def test_a_number_that_is_a_word_gets_a_line() -> None:
    assert lines(note("1", 'a| number="verse"', 'b| number="chorus"')) == [("a", "1"), ("b", "2")]
