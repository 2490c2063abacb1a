"""Random texts as ABC: reading them never raises, what can be read can be measured and drawn, and
no text takes long."""

from __future__ import annotations

import string
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from any_notation import anyhow, check_problems, check_score, mistyped
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.checks import WRITTEN_CHECKS
from chorus_handbook.engraving.mei import write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.music.measure import measure
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place

CASES = sorted((Path(__file__).parents[2] / "cases" / "abc").glob("*.txt"))
TEXTS = [path.read_text(encoding="utf-8").partition("=====\n")[0] for path in CASES]
SIGNS = (
    "CDEFGABcdefgabzxZ123/2',^_=|:[]()-<>{}!\".~+%&\\ \n\nwVKLMPUQtHL" + string.ascii_lowercase[:4]
)
HEAD = "M:4/4\nL:1/4\nK:C\n"


def check(chorus: Chorus, text: str) -> Score | None:
    """A text is read into a well-formed score or into problems that point into it."""
    notation = Notation("abc", text, Place("case.md"))
    score, problems = read_abc(notation, chorus, tuple(chorus.voices))
    check_problems(text, problems)
    assert (score is None) == bool(problems)
    if score is None:
        return None
    check_score(score)
    check_notes(score)
    assert [p for _, written_check in WRITTEN_CHECKS for p in written_check(score)] == []
    keys = spell_keys(score, KeyPath.parse("C4 up to E4"))
    measure("case", score, tempo=60, keys=keys, passes=1, lead_in=4)
    written = write(score, chorus)
    for tonic in keys:
        write_mei(written, tonic)
    return score


def check_notes(score: Score) -> None:
    """What only scores in ABC have is well-formed, too."""
    for part in score.parts:
        assert part.voice in part.shares
        for note in part.notes:
            assert note.degree is not None
            heights = [d.semitones(score.mode) for d in (note.degree, *note.below)]
            assert heights == sorted(heights, reverse=True)
            assert len(set(note.accents)) == len(note.accents)
            assert len(note.syllables) in (0, score.verses)
        onsets = {note.onset for note in part.notes}
        for slur in part.slurs:
            assert slur.onset in onsets
            assert slur.end in {note.end for note in part.notes}
            assert slur.end not in {n.end for n in part.notes if n.onset == slur.onset}
        for dynamic in part.dynamics:
            assert 0 <= dynamic.onset <= score.length
            assert dynamic.end is None or dynamic.onset < dynamic.end <= score.length


@given(st.text(max_size=200))
@anyhow
def test_any_text(chorus: Chorus, text: str) -> None:
    check(chorus, text)


@given(st.text(alphabet=SIGNS, max_size=150))
@anyhow
def test_any_text_of_the_signs_of_the_notation(chorus: Chorus, text: str) -> None:
    check(chorus, "K:C\n" + text)
    check(chorus, HEAD + "V:soprano\n" + text)


@given(mistyped(TEXTS, SIGNS))
@anyhow
def test_texts_with_typing_mistakes(chorus: Chorus, text: str) -> None:
    check(chorus, text)


BARS = (
    "CDEF|G4|z2A2|c/B/A/G/ FE|(3CDE F>G|B-B2_B|^F=FC2|d'4|C,4|Z2|(3c2d2e2|H!p!c2!<(!d!<)!e|"
    "(5CDEFG A2|C D2 E|C/4D/4E/4F/4 G3|C3/2D/2 E2|(3:2:2C2D E2|!breath!C2 D2|[CEG]2 [DB]2|"
    "(C D) (E F)|(C (D) E) F|{g}C {^fa}D .E2|[^CE]- [CE] [_DF]>[EG]|!>!C L[CE] !tenuto!!^!D2|"
    "({d}[CE]/D/ [C-E-]2) [CE]|(3.C.[DF].E {ab}c2"
).split("|")
bar = st.sampled_from(BARS)
sign = st.sampled_from(["|", "|", "|", "||", ":|", "|:", "::", "|1", ":|2", "|]", "\n"])


@given(
    st.sampled_from(["M:4/4", "M:none", "M:C|", "M:12/8\nL:3/8"]),
    st.sampled_from(["C", "Gm", "F#dor", "Bb ^f", "Dphr exp _b", "Aloc", "Emix clef=treble-8"]),
    st.lists(st.tuples(bar, sign), min_size=1, max_size=8),
    st.sampled_from(["", "w: la la _ la - _ _", "w: oo ...", "w: a b | c\nw: d-e-f * g"]),
)
@anyhow
def test_likely_tunes(
    chorus: Chorus, meter: str, key: str, bars: list[tuple[str, str]], words: str
) -> None:
    music = "".join(f"{inside}{after} " for inside, after in bars)
    check(chorus, f"{meter}\nL:1/4\nK:{key}\n{music}\n{words}\n")


@given(
    st.lists(st.tuples(bar, bar, sign), min_size=1, max_size=5),
    st.sampled_from(["V:{}\n", "[V:{}]", "V:{} octave=-1\n", "P:A\n[V:{}]"]),
    st.sampled_from(["", "P:A2B\n"]),
    st.sampled_from(["", "w: la-la _ la\nw: oo ...", "w: _ oh\n+: hey _ |"]),
)
@anyhow
def test_likely_tunes_with_two_voices(
    chorus: Chorus, bars: list[tuple[str, str, str]], segment: str, order: str, words: str
) -> None:
    text = "M:4/4\nL:1/4\n" + order + "K:G\n"
    for high, low, after in bars:
        text += segment.format("upper") + high + after + "\n" + words + "\n"
        text += segment.format("bass") + low + after + "\n"
    check(chorus, text.replace("\n\n", "\n"))


def test_most_likely_bars_are_read(chorus: Chorus) -> None:
    """So that the test above is about scores and not only about problems."""
    for inside in BARS:
        assert check(chorus, f"{HEAD}{inside}|"), inside


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("CDEF|" * 201, "4:1"),
        ("|:" + "CDEF|" * 101 + "CDEF:|", "4:1"),
        ("z4|" * 4001, "4:1"),
        ("C4|\nw: " + "la " * 4001, "5:1"),
        ("".join(f"V:v{n}\n" for n in range(33)) + "C4", "36:1"),
    ],
    ids=["bars", "bars by repeating", "tokens", "words", "voices"],
)
def test_what_is_too_much_is_said_once(chorus: Chorus, text: str, place: str) -> None:
    notation = Notation("abc", HEAD + text, Place("case.md"))
    score, problems = read_abc(notation, chorus, ("soprano",))
    assert score is None
    sizes = [p for p in problems if p.code == "notation-size"]
    assert [f"{p.place.line}:{p.place.column}" for p in sizes] == [place]


@pytest.mark.parametrize(
    "make",
    [
        lambda n: "CDEF|" * n,
        lambda n: "C" * n,
        lambda n: "[" * n,
        lambda n: "[K:" * n,
        lambda n: '"' * n + "a",
        lambda n: ":" * n,
        lambda n: "|" * n,
        lambda n: "|1" * n,
        lambda n: "1" * n,
        lambda n: "C" + "/" * n,
        lambda n: "C" + "'" * n,
        lambda n: "C" + ">" * n,
        lambda n: "(" * n,
        lambda n: "(9" * n,
        lambda n: "!" * n + "!" + "a" * n,
        lambda n: "{" * n,
        lambda n: "{a}" * n,
        lambda n: "{" + "a" * n + "}",
        lambda n: "[CE]" * n,
        lambda n: "[" + "C" * n + "]",
        lambda n: "(C" * n,
        lambda n: "C)" * n,
        lambda n: "(CD)" * n,
        lambda n: ".LH" * n + "C",
        lambda n: "U:t=!p!\n" * n,
        lambda n: "[U:t=!p!]tC" * n,
        lambda n: "+a" * n,
        lambda n: "C\nw:a\n" * n,
        lambda n: "w:" + "a-" * n,
        lambda n: "V:a\n" * n,
        lambda n: "[V:a]" * n,
        lambda n: "V:a " + "=a" * n,
        lambda n: "V:" + "a+" * n,
        lambda n: "P:A\n" * n,
        lambda n: "%" * n,
        lambda n: "\n" * n,
        lambda n: "\n+:a" * n,
    ],
)
@pytest.mark.parametrize("head", ["", HEAD], ids=["bare", "head"])
def test_no_text_takes_long(
    chorus: Chorus,
    make: Callable[[int], str],
    head: str,
    grows_evenly: Callable[[Callable[[int], object]], bool],
) -> None:
    def read(size: int) -> object:
        return read_abc(Notation("abc", head + make(size), Place("case.md")), chorus, ("soprano",))

    assert grows_evenly(read)


@pytest.mark.parametrize("order", ["A" * 20_000, "(" * 20_000, "A9" * 20_000, "((A9)9)9", "A0A"])
def test_no_order_of_parts_takes_long(
    chorus: Chorus, order: str, work: Callable[[Callable[[], object]], int]
) -> None:
    text = f"M:4/4\nL:1/4\nP:{order}\nK:C\nP:A\nCDEF|"
    assert work(lambda: check(chorus, text)) < 500_000
