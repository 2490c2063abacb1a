"""Any text at all: problems, never an exception; and no text takes long."""

from __future__ import annotations

import json
import string
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.music.measure import measure
from chorus_handbook.music.score import Note, Score
from chorus_handbook.problems import Problem

Read = Callable[..., tuple[Score | None, list[Problem]]]

CASES = sorted((Path(__file__).parents[2] / "cases" / "degrees").glob("*.json"))
TEXTS = [
    "\n".join(json.loads(path.read_text(encoding="utf-8"))["text"])
    for path in CASES
    if path.stem != "chorus"
]
SIGNS = "1234567890x-.'?,~^#bv|<>pmf: \n\n" + string.ascii_letters[:6] + "_*…\u2019"
anyhow = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def check(read: Read, text: str) -> None:
    """A text is read into a well-formed score or into problems that point into it."""
    score, problems = read(text)
    lines = text.split("\n")
    for problem in problems:
        assert problem.hint
        assert 1 <= problem.place.line <= len(lines)
        assert 1 <= problem.place.column <= len(lines[problem.place.line - 1]) + 1
        assert "\n" not in problem.message
    assert problems == sorted(problems)
    if problems or score is None:
        assert problems
        assert score is None or not score.parts
        return
    check_score(score)
    measure(
        "case",
        score,
        tempo=60,
        keys=spell_keys(score, KeyPath.parse("C4 up to D4")),
        passes=1,
        lead_in=4,
    )


def check_score(score: Score) -> None:
    assert score.bar_starts[0] == 0
    assert list(score.bar_starts) == sorted(set(score.bar_starts))
    assert score.bar_starts[-1] < score.length
    ids = [note.id for part in score.parts for note in part.notes]
    assert len(ids) == len(set(ids))
    for part in score.parts:
        now = 0
        for event in part.events:
            assert event.onset == now
            assert event.duration > 0
            now = event.end
            if isinstance(event, Note):
                assert (event.degree is None) != (event.spoken is None)
                assert event.glide_at is None or 0 <= event.glide_at < event.duration
                assert all(0 < at < event.duration for at in event.staggered)
            for fermata in event.fermatas:
                assert event.onset <= fermata.onset < fermata.end <= event.end
        assert now == score.length
    for fermata, following in zip(score.fermatas, score.fermatas[1:], strict=False):
        assert fermata.end < following.onset


@given(st.text(max_size=200))
@anyhow
def test_any_text(read: Read, text: str) -> None:
    check(read, text)


@given(st.text(alphabet=SIGNS, max_size=200))
@anyhow
def test_any_text_of_the_signs_of_the_notation(read: Read, text: str) -> None:
    check(read, "all: " + text)
    check(read, "meter: free\npickup: 1\nsoprano: 1 |" + text)


@given(
    st.sampled_from(TEXTS),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 2), st.sampled_from(SIGNS)), max_size=6),
)
@anyhow
def test_texts_with_slips(read: Read, text: str, slips: list[tuple[float, int, str]]) -> None:
    for where, removed, added in slips:
        at = int(where * len(text))
        text = text[:at] + added + text[at + removed :]
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
