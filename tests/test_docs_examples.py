"""What the docs show an author must be true: examples can be read, mistakes are mistakes.

An example is a fence that begins with ```degrees. One that shows a mistake names its code behind
that word, as in ```degrees mistake bar-length.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from checked import Checked, checked
from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.checks import WRITTEN_CHECKS
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import FrontMatter, Notation
from chorus_handbook.entries.round import Round
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.problems import CODES, Place, Problem
from chorus_handbook.views.conditions import read_condition
from chorus_handbook.views.fields import FIELDS

PROJECT = Path(__file__).parent.parent
WRITING = PROJECT / "docs" / "writing"
_FENCE = re.compile(r"^```degrees(?P<info>[^\n]*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class DocsExample:
    """One fence: where it stands, its notation, and the code of the mistake it shows, if any."""

    place: Place
    text: str
    mistake: str | None

    def __str__(self) -> str:
        return f"{Path(self.place.path).stem}-{self.place.line}"


def _docs_examples() -> Iterator[DocsExample]:
    for path in sorted((PROJECT / "docs").rglob("*.md")):
        page = path.read_text(encoding="utf-8")
        for fence in _FENCE.finditer(page):
            words = fence["info"].split()
            line = page.count("\n", 0, fence.start()) + 2
            place = Place(path.relative_to(PROJECT).as_posix(), line)
            yield DocsExample(place, fence["text"], words[-1] if words[:1] == ["mistake"] else None)


EXAMPLES = list(_docs_examples())


@pytest.fixture(scope="module")
def tidewater() -> Chorus:
    chorus = read_chorus_config(PROJECT / "handbook")[0].chorus
    assert chorus is not None
    return chorus


def _found(example: DocsExample, chorus: Chorus) -> list[Problem]:
    """What the handbook would say of an example: what cannot be read, and what does not add up."""
    notation = Notation("degrees", example.text, example.place)
    score, problems = read_degrees(notation, chorus, tuple(chorus.voices))
    if score is not None:
        problems = [*problems, *(p for _, check in WRITTEN_CHECKS for p in check(score))]
    return problems


def test_the_guide_teaches_by_example() -> None:
    """Should the fences be written differently one day, the tests below would find none."""
    taught = [e for e in EXAMPLES if e.place.path.endswith("writing/degrees.md")]
    assert len([e for e in taught if not e.mistake]) >= 20
    assert len([e for e in taught if e.mistake]) >= 10


@pytest.mark.parametrize("example", [e for e in EXAMPLES if not e.mistake], ids=str)
def test_examples_are_right(example: DocsExample, tidewater: Chorus) -> None:
    assert _found(example, tidewater) == []


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e.mistake], ids=str)
def test_mistakes_are_told_as_the_docs_say(example: DocsExample, tidewater: Chorus) -> None:
    """Exactly the one mistake: a second would teach the wrong lesson."""
    assert example.mistake in CODES
    assert [problem.code for problem in _found(example, tidewater)] == [example.mistake]


def test_every_field_of_the_form_is_explained() -> None:
    page = (WRITING / "front-matter.md").read_text(encoding="utf-8")
    explained = set(re.findall(r"^\| `([a-z_]+)` \|", page, re.MULTILINE))
    assert explained == {*FrontMatter.model_fields, *Round.model_fields}


def test_paths_of_keys_in_the_docs_are_as_long_as_they_say() -> None:
    page = (WRITING / "front-matter.md").read_text(encoding="utf-8")
    reported = dict(re.findall(r"^\| `([A-G][^`]*)` \| ([^|]+) \|", page, re.MULTILINE))
    numbers = {"one key": 1, "three keys": 3, "six keys": 6, "eight keys": 8, "nine keys": 9}
    counts = {path: len(KeyPath.parse(path).semitones()) for path in reported}
    assert len(reported) == 5
    for path, words in reported.items():
        assert [n for name, n in numbers.items() if name in words] == [counts[path]], path


def test_conditions_in_the_docs_can_be_read() -> None:
    page = (WRITING / "views.md").read_text(encoding="utf-8")
    shown = re.findall(r"`(\w+): (at \w+ [^`]+|between [^`]+|not [^`]+|stated)`", page)
    assert len(shown) >= 6
    for name, words in shown:
        assert name in FIELDS
        read_condition(name, words, None)


def _fences(page: str, language: str) -> list[str]:
    text = (WRITING / page).read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def test_views_in_the_docs_find_something(demo: Checked, tmp_path: Path) -> None:
    """Each view that is shown, on the exercises of the demo."""
    root = tmp_path / "handbook"
    shutil.copytree(demo.root, root)
    views = "".join(_fences("views.md", "yaml"))
    assert views.count("- slug:") >= 2
    (root / "views.yml").write_text(views, encoding="utf-8")
    # What the vocabulary says of the demo's own lists leads nowhere now.
    assert [
        p for p in checked(root, demo.cache).problems if p.place.path.endswith("views.yml")
    ] == []


def test_the_chorus_and_the_words_in_the_docs_are_valid(tmp_path: Path) -> None:
    chorus, *vocabulary = _fences("chorus.md", "yaml")
    (tmp_path / "chorus.yml").write_text(chorus, encoding="utf-8")
    (tmp_path / "vocabulary.yml").write_text("".join(vocabulary), encoding="utf-8")
    config, problems = read_chorus_config(tmp_path)
    assert problems == []
    assert config.words
    assert config.chorus is not None
    assert config.vocabulary is not None


def test_the_first_exercise_passes_as_the_guide_has_it_typed(demo: Checked, tmp_path: Path) -> None:
    """The form, the two lines that music needs, the music after Say, and the text."""
    form, added, _score = _fences("index.md", "yaml")
    (text,) = _fences("index.md", "markdown")
    music, *_three_ways = _FENCE.finditer((WRITING / "index.md").read_text(encoding="utf-8"))
    fields = form.removesuffix("---\n") + added + "---\n"
    body = text.replace("## How to run it", f"{music[0]}\n\n## How to run it")
    root = tmp_path / "handbook"
    shutil.copytree(demo.root, root)
    (root / "exercises" / "slack-water.md").write_text(fields + body, encoding="utf-8")
    book = checked(root, demo.cache)
    assert list(book.problems) == []
    assert "slack-water" in book.facts


def test_the_same_music_in_two_notations_is_measured_alike(demo: Checked, tmp_path: Path) -> None:
    """What stands under "The same music, three ways", as text."""
    form, added, _score = _fences("index.md", "yaml")
    root = tmp_path / "handbook"
    shutil.copytree(demo.root, root)
    page = (WRITING / "index.md").read_text(encoding="utf-8")
    degrees, abc = (
        page.split(f"```{kind}\n", 2 if kind == "degrees" else 1)[-1].split("```")[0]
        for kind in ("degrees", "abc")
    )
    for slug, fence in (("first", f"```degrees\n{degrees}```"), ("second", f"```abc\n{abc}```")):
        fields = form.removesuffix("---\n").replace("Slack water", slug) + added + "---\n"
        (root / "exercises" / f"{slug}.md").write_text(fields + fence + "\n", encoding="utf-8")
    book = checked(root, demo.cache)
    assert list(book.problems) == []
    first, second = (book.facts[slug] for slug in ("first", "second"))
    upper = [facts.voices[0] for facts in (first, second)]
    assert upper[0] == upper[1] and upper[0].notes == 4
    assert first.seconds_per_pass == second.seconds_per_pass


def test_every_measured_field_is_explained() -> None:
    """Fields of the form are explained on their own page; the rest on that of the views."""
    page = (WRITING / "views.md").read_text(encoding="utf-8")
    measured = set(FIELDS) - set(FrontMatter.model_fields)
    assert {name for name in measured if f"`{name}`" not in page} == set()
