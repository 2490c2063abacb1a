"""A drawing is whole where everything of its document is in it, whatever the words are made of."""

from __future__ import annotations

from html import escape
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import read_drawing
from chorus_handbook.engraving.engine import raw_svg
from chorus_handbook.engraving.losses import losses
from chorus_handbook.engraving.score_file import PreparedFile
from chorus_handbook.engraving.staves import part_labels
from chorus_handbook.music.musicxml.container import read_score
from chorus_handbook.music.musicxml.reader import read_document

CASES = sorted((Path(__file__).parents[1] / "cases" / "musicxml").glob("*.m*xl"))
WORDS = (
    "a~b a_b a- -a a'b “a” a;b <a> 1. (a) — - * é e\u0301 # b♭ ♯ a\u00adb ‿ ﬁ 漢 א ~ ... … || {x} "
    "$ \\ % &amp; a\u2011b a\u200bb __ a\u00a0b"
).split(" ")
NOTE = (
    '<note id="{id}"><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration>'
    "<type>whole</type>{words}</note>"
)
REST = '<note><rest measure="yes"/><duration>4</duration>{words}</note>'


def file(*measures: str, attributes: str = "") -> str:
    inside = "".join(
        f'<measure number="{n}" id="measure.{n}">'
        + f"<attributes><divisions>1</divisions>{attributes}</attributes>" * (n == 0)
        + f"{music}</measure>"
        for n, music in enumerate(measures)
    )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>S</part-name>'
        f'</score-part></part-list><part id="P1">{inside}</part></score-partwise>'
    )


def lyric(word: str) -> str:
    return f"<lyric><syllabic>single</syllabic><text>{escape(word)}</text></lyric>"


def test_words_of_any_kind_are_found_in_the_drawing() -> None:
    """Underscores are a line and no word, and words under rests are drawn by nobody."""
    notes = [NOTE.format(id=f"n{n}", words=lyric(word)) for n, word in enumerate(WORDS)]
    document = file(*notes, REST.format(words=lyric("wait")))
    assert losses(document, read_drawing(raw_svg(document))[1]) == []


def test_a_rest_of_many_bars_takes_in_those_behind_it() -> None:
    rests = "<measure-style><multiple-rest>3</multiple-rest></measure-style>"
    silent = REST.format(words="")
    document = file(silent, silent, silent, NOTE.format(id="a", words=""), attributes=rests)
    svg = raw_svg(document)
    assert svg.count('class="measure"') == 2
    assert losses(document, read_drawing(svg)[1]) == []


@pytest.mark.parametrize(
    ("lost", "message"),
    [
        ('id="n0"', "1 of 1 notes were not drawn"),
        ('id="measure.0"', "1 of 1 bars were not drawn"),
        (">tide<", "1 of 1 syllables were not drawn (“tide”)"),
    ],
)
def test_what_is_missing_is_named(lost: str, message: str) -> None:
    document = file(NOTE.format(id="n0", words=lyric("tide")))
    svg = raw_svg(document)
    assert lost in svg
    without = svg.replace(lost, 'id="other"' if lost[0] == "i" else "><")
    assert losses(document, read_drawing(without)[1]) == [message]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_scores_that_are_read_are_drawn(path: Path, chorus: Chorus) -> None:
    score, problems = read_document(read_score(path), path.name, chorus, tuple(chorus.voices))
    assert score is not None and score.file is not None, problems
    document = PreparedFile(score.file.xml, part_labels(score.file, chorus)).text("full")
    assert losses(document, read_drawing(raw_svg(document))[1]) == []
