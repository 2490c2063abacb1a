"""Random texts as `degrees`: reading them never raises, and no text takes long."""

from __future__ import annotations

import json
import string
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from any_notation import anyhow, check_problems, check_score, mistyped
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.music.measure import measure
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

Read = Callable[..., tuple[Score | None, list[Problem]]]

CASES = sorted((Path(__file__).parents[2] / "cases" / "degrees").glob("*.json"))
TEXTS = [
    "\n".join(json.loads(path.read_text(encoding="utf-8"))["text"])
    for path in CASES
    if path.stem != "chorus"
]
SIGNS = "1234567890x-.'?,~^#bv|<>pmf: \n\n" + string.ascii_letters[:6] + "_*…\u2019"


def check(read: Read, text: str) -> None:
    """A text is read into a well-formed score or into problems that point into it."""
    score, problems = read(text)
    check_problems(text, problems)
    if problems or score is None:
        assert problems
        assert score is None or not score.parts
        return
    check_score(score)
    check_notes(score)
    measure(
        "case",
        score,
        tempo=60,
        keys=spell_keys(score, KeyPath.parse("C4 up to D4")),
        passes=1,
        lead_in=4,
    )


def check_notes(score: Score) -> None:
    """What only scores in `degrees` have is well-formed, too."""
    for note in (note for part in score.parts for note in part.notes):
        assert (note.degree is None) != (note.spoken is None)
        assert note.glide_at is None or 0 <= note.glide_at < note.duration
        assert all(0 < at < note.duration for at in note.staggered)


@given(st.text(max_size=200))
@anyhow
def test_any_text(read: Read, text: str) -> None:
    check(read, text)


@given(st.text(alphabet=SIGNS, max_size=200))
@anyhow
def test_any_text_of_the_signs_of_the_notation(read: Read, text: str) -> None:
    check(read, "all: " + text)
    check(read, "meter: free\npickup: 1\nsoprano: 1 |" + text)


@given(mistyped(TEXTS, SIGNS))
@anyhow
def test_texts_with_typing_mistakes(read: Read, text: str) -> None:
    check(read, text)


NOTES = "1 2 3 5 1.2 3.-.4 5' 7, #4 4^ 6? 1~5"
SIGNS_BETWEEN = "0 - - -.1 | | v v? p < f x.x' -^"
tokens = st.sampled_from([*NOTES.split(), *NOTES.split(), *SIGNS_BETWEEN.split()])
music_lines = st.lists(tokens, min_size=1, max_size=16).map(" ".join)


@given(
    st.sampled_from(["", "meter: free\n", "meter: 6/8\n", "pickup: 2\n"]),
    st.lists(
        st.tuples(music_lines, music_lines, st.booleans(), st.booleans()), min_size=1, max_size=3
    ),
)
@anyhow
def test_blocks_of_likely_tokens(
    read: Read, header: str, blocks: list[tuple[str, str, bool, bool]]
) -> None:
    text = header + "\n\n".join(
        f"upper: 1 {high}\nbass: 5, {low}{' ...' * open_end}" + "\nwords: la_ me - ..." * words
        for high, low, open_end, words in blocks
    )
    check(read, text)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("all: " + "1 2 3 4 | " * 201, "1:1"),
        ("all: " + "1 " * 900, "1:1"),  # 225 bars, though none is written
        ("meter: 1/4\nall: " + "1 | " * 201, "2:1"),
        ("\n\n".join(["all: 1 - - - |"] * 65), "129:1"),
        ("\n".join(["all: 1 - - - |"] * 33), "33:1"),
        ("meter: free\nall: " + "0 " * 4001, "2:1"),
        ("words: " + "la " * 4001 + "\nall: 1", "1:1"),
        ("meter: free\nall: " + "1.2.3.4.5 " * 1200, "2:1"),  # 24,000 notes in four voices
        ("all: " + ".".join("1" * 13), "1:6"),
    ],
    ids=[
        "bars",
        "unwritten bars",
        "short bars",
        "blocks",
        "lines",
        "tokens",
        "words",
        "notes",
        "shares",
    ],
)
def test_what_is_too_much_is_said_once(
    codes: Callable[..., list[str]], text: str, place: str
) -> None:
    sizes = [code for code in codes(text) if code.endswith("notation-size")]
    assert sizes == [f"{place} notation-size"]


def test_glued_bar_lines_count_like_others(read: Read) -> None:
    (problem,) = read("all: " + "1|" * 2001)[1]
    assert "more than 4,000 notes and signs" in problem.message


@pytest.mark.parametrize(
    "text",
    [
        "all: " + "1 2 3 4 | " * 200,
        "\n\n".join(["all: 1 - - - |"] * 64),
        "meter: free\nall: " + "1 " * 3990,
        "all: " + ".".join("123412341234") + " - - -",
    ],
    ids=["bars", "blocks", "tokens", "shares"],
)
def test_as_much_as_is_allowed_is_read(score_of: Callable[..., Score], text: str) -> None:
    assert score_of(text).parts


@pytest.mark.parametrize(
    "make",
    [
        lambda n: "all: " + "1 " * n,
        lambda n: "all: " + "z" * n,
        lambda n: "all: " + "1." * n,
        lambda n: "all: 1" + "'" * n,
        lambda n: "z" * n + ": 1",
        lambda n: "all: " + "z " * n,
        lambda n: "all: " + "|" * n,
        lambda n: "all: " + "1|" * n,
        lambda n: ":\n" * n,
        lambda n: "words: " + "a-" * n + "\nall: 1 2",
        lambda n: "all: 1^ " + "- v? " * n,
        lambda n: "all: " + "<" * n + " < " * n,
        lambda n: "a+" * n + ": 1",
        lambda n: "octave: " + "bass -1," * n + "\nall: 1",
    ],
)
def test_no_text_takes_long(
    read: Read,
    make: Callable[[int], str],
    grows_evenly: Callable[[Callable[[int], object]], bool],
) -> None:
    assert grows_evenly(lambda size: read(make(size)))


def test_a_large_chorus_has_no_terrors(chorus: Chorus, read: Read) -> None:
    text = "meter: free\n" + "\n".join(f"{voice}: " + "1 " * 990 for voice in chorus.voices)
    check(read, text)
