"""Music outside a fence is told; text that only resembles it is not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.entries.stray_notation import stray_notation
from chorus_handbook.pipeline import check
from chorus_handbook.problems import Place

PROJECT = Path(__file__).parents[2]
NAMES = {"all", "others", "leader", "soprano", "alto", "tenor", "bass", "upper", "lower"}
#: What the demo's authors sing, by the word of its fence.
MUSIC = [
    pytest.param(found[1], found[2], id=path.stem)
    for path in sorted((PROJECT / "handbook" / "exercises").glob("*.md"))
    if (found := re.search(r"^```(degrees|abc)\n(.*?)\n```$", path.read_text("utf-8"), re.M | re.S))
]
#: What goes wrong with the lines round the music; `{0}` is the word, `{1}` the music.
SLIPS = {
    "quotes": "'''{0}\n{1}\n'''",
    "curly quotes": "‘‘‘{0}\n{1}\n’’’",
    "double quotes": '"""{0}\n{1}\n"""',
    "two backticks": "``{0}\n{1}\n``",
    "one backtick": "`{0}\n{1}\n`",
    "acute accents": "´´´ {0}\n{1}\n´´´",
    "tildes of another kind": "˜˜˜˜{0}\n{1}\n˜˜˜˜",
    "wide tildes": "～～～{0}\n{1}\n～～～",
    "hyphens": "---{0}\n{1}\n---",
    "no word": "```\n{1}\n```",
    "another word": "```notation\n{1}\n```",
    "a misspelt word, too": "'''degres\n{1}\n'''",
    "indented": "  ```{0}\n{1}\n  ```",
    "in a list": "- ```{0}\n{1}\n```",
    "no fence": "{1}",
    "no fence, indented": "{2}",
}


def lines_told(markdown: str) -> list[int]:
    return [p.place.line for p in stray_notation(markdown, Place("a.md"), NAMES)]


@pytest.mark.parametrize(("word", "music"), MUSIC)
def test_the_demos_music_is_told_once_after_any_slip(word: str, music: str) -> None:
    indented = "\n".join(f"    {line}" for line in music.split("\n"))
    told = {}
    for slip, lines in SLIPS.items():
        wrong = lines.format(word, music, indented)
        told[slip] = lines_told(f"Text before it.\n\n{wrong}\n\n### After it\n1. Sing it.")
    assert told == {slip: [3] for slip in SLIPS}


def test_there_is_music() -> None:
    assert len(MUSIC) > 30 and {param.values[0] for param in MUSIC} == {"degrees", "abc"}


@pytest.mark.parametrize(
    "line",
    [
        "all: 1 2 3 4 | 5 - - - |",
        "soprano: 1.2 3.4 |",
        "All: 1 2 3 4",
        "**all:** 1 2 3 4 | 5 - - - |",
        "- all: 1 2 3 4 | 5 - - - |",
        "tutti: 1 2 3 4 | 5 - - -",
        "S: 1 - - - |",
        "sopran: 1 2 3 4 | 5 - - -",
        "soprano+alto: 1~ - - - | 1' - - - |",
        "all: C D E F | G - - - |",
        "all: do re mi fa | sol - - - |",
        "all: 12 34 | 5 - - - |",
        "bass: 1 ... |",
        "1 2 3 4 | 5 - - - |",
        "words: la la",
        "words: brr ...",
        "words: hal-le-lu-jah",
        "meter: 3/4",
        "X:1\nK:C",
        "M:4/4\nK:C\nCDEF|G4|",
        "K:Dm\nV:1\nDEFG|A4|",
    ],
)
def test_music_without_a_fence_is_told(line: str) -> None:
    assert lines_told(line) == [1]


#: Ordinary text of a handbook that has numbers, colons, bars and letters in it.
TEXT = [
    "Tempo: 84, then 92, then 100.",
    "Time: 1:30 | 2:00 | 2:30",
    "1. (20 s) Speak the row: ee, eh, ah, oh, oo.",
    "Easier: the first note of each wave only: 5, 4, 3, 2, 1.",
    "All: 5, 4, 3, 2, 1.",
    "All: 5, 4, 3, 2, 1",
    "All: walk | breathe | sing 1 note",
    "1 2 | 3",
    "1 | 2 | 3 | 4",
    "- **Easier:** 5 4 3 2 1, all on *loo*.",
    "- Alto: 1 2 3 4",
    "Altos: 3 of the 4 begin.",
    "Count: 1, 2, 3, 4 and breathe.",
    "Bars 1 to 4: 1 2 3 4.",
    "Voices: S A T B",
    "Score: 3 - 1",
    "Impact: 1 | 2 | 3 | 4 | 5",
    "Phone: 0 1 2 3 - 4 5 6",
    "A scale that takes two steps up and one back: 1 3, 2 4, 3 5.",
    "Soprano | Alto | Tenor | Bass",
    "| Voice | Low | High |\n|---|---|---|\n| all: 1 2 | 3 4 | 5 |\n| 1 2 3 | 4 5 6 | 7 |",
    "Bar | Beats\n--- | ---\n1 2 3 4 | 4\n5 - - - | 1",
    "Words: clear and in front of the teeth.",
    "words: see the sheet in the blue folder.",
    "Say these three\nwords: la, la, la.",
    "Key: C",
    "K: the kitchen door",
    "T: 0441 22 33\nE: nobody@harbour.example",
    "mode: whatever you like",
    "Meet at 7: 30 minutes, no more.",
    "Sing `all: 1 2 3 4 | 5 - - - |` once.",
    "`all: 1 2 3 4 | 5 - - - |`",
    "```text\nall: 1 2 3 4 | 5 - - - |\n```",
    "```python\nprint('all: 1')\n```",
    "```\nknots: 12\nwind: west\n```",
    "## Degrees",
    "*degrees* are numbers.",
    "- degrees",
    "“Degrees” are numbers.",
    "---\nabc",
    "Men: 2 3 4 or 5 of them.",
    "p f | v",
    "a | b | c | d",
    "[1]: https://harbour.example/1",
]


@pytest.mark.parametrize("text", TEXT)
def test_text_is_left_alone(text: str) -> None:
    assert lines_told(f"{text}\n") == []


@pytest.mark.parametrize(
    "path",
    [*PROJECT.glob("docs/**/*.md"), PROJECT / "README.md", PROJECT / "DEVELOPERS.md"],
    ids=lambda path: path.name,
)
def test_the_documentation_is_text_outside_its_fences(path: Path) -> None:
    text = re.sub(r"^````?[^\n]*\n.*?^````?$", "", path.read_text("utf-8"), flags=re.M | re.S)
    assert lines_told(text) == []


WORDS = st.sampled_from(
    "the a sing on note bar beat all alto bass men words keys 1 2 3 4 5 7 12 84 1:30 20 s p f v x "
    "0 - – | , . : 1, 2, 3. C D do re (4) *3* 5'".split()
)


@given(
    st.sampled_from(["", "All", "Alto", "Note", "Keys", "1.", "-"]), st.lists(WORDS, max_size=14)
)
def test_a_line_is_music_only_if_most_of_it_is(name: str, words: list[str]) -> None:
    line = f"{name}: {' '.join(words)}" if name.isalpha() else f"{name} {' '.join(words)}"
    letters = [word for word in words if re.search(r"[a-z]{2}|[().:*s]|\d\d", word)]
    if len(letters) > 0.4 * len(words) + 1 or ("|" not in words and letters):
        assert lines_told(line) == []


BEATS = st.sampled_from("1 2 3 4 5 6 7 1' 5, #4 b3 0 - x x' 1.2 3.4.5 1.-.2 5? 1^ v p <".split())
BARS = st.lists(st.lists(BEATS, min_size=2, max_size=6), min_size=2, max_size=4)


@given(st.sampled_from(sorted(NAMES)), BARS)
def test_a_singer_with_bars_is_always_music(name: str, bars: list[list[str]]) -> None:
    line = f"{name}: 1 {' | '.join(' '.join(bar) for bar in bars)} |"
    assert lines_told(f"Text.\n\n{line}\n\nText.") == [3]


@given(st.text("ab1:|`'~- \n.KXdegrs", max_size=60))
def test_any_text_is_looked_at(text: str) -> None:
    stray_notation(text, Place("a.md"), NAMES)


@pytest.mark.parametrize(
    "text",
    [
        "|" * 60_000 + "!",
        "a | b\n" + "-" * 60_000 + "x",
        "a | b\n" + " " * 60_000 + "x",
        "a: b\n" * 4_000,
        "words: a\n" * 4_000,
        "all: " + "1~" * 30_000 + "!",
        "K:C\n" * 4_000,
        "words: a-" + "a" * 60_000,
        "words: " + "a " * 30_000,
        "- " * 30_000 + "``x",
        "a" * 60_000 + ":",
        "all: " + "1 " * 30_000,
    ],
    ids=lambda text: text[:14],
)
def test_long_texts_are_looked_at_in_time(text: str) -> None:
    """Nothing here grows with the square of the text: that would take minutes."""
    stray_notation(text, Place("a.md"), NAMES)


def test_what_to_do_depends_on_where_it_stands(project: Path) -> None:
    music = "all: 1 2 3 4 | 5 - - - |"
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text("utf-8")
    (project / "handbook" / "page.md").write_text(f"# Page\n\n```degrees\n{music}\n```\n")
    exercise.write_text(f"{text}\n{music}\n", "utf-8")
    second, page = check(project / "handbook")
    assert second.code == page.code == "fence"
    assert "an exercise of its own" in second.hint and second.place.line == 24
    assert "exercises/" in page.hint and (page.place.path, page.place.line) == (
        "handbook/page.md",
        3,
    )
    exercise.write_text(text.replace("```degrees", "'''degrees").replace("```\n", "'''\n"))
    (project / "handbook" / "page.md").unlink()
    (alone,) = check(project / "handbook")
    assert "three backticks" in alone.hint and "```degrees" in alone.hint
