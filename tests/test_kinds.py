"""A kind of content that the program does not know: what it takes, and what it gets for it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Annotated, Any

import pytest
from pydantic import Field

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Line, Model, Name
from chorus_handbook.entries import kinds
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import Text
from chorus_handbook.mkdocs_plugin import kept_pages, plugin
from chorus_handbook.mkdocs_plugin.preview import Preview
from chorus_handbook.mkdocs_plugin.run import build_site, requested_site
from chorus_handbook.pages.html import render
from chorus_handbook.pages.kinds import PAGES, KindPage, Shown
from chorus_handbook.pages.page import Page, exercise_path, link
from chorus_handbook.pages.written import headings_of, whole_body
from chorus_handbook.records import making

# The kind itself begins here.


class PostcardFields(Model):
    """The fields of a postcard."""

    title: Line
    summary: Line
    stamps: Annotated[int, Field(ge=1, le=9, description="How many stamps it bears.")]
    about: Name


POSTCARD = Kind("postcard", PostcardFields, "postcards", list_title="Postcards")


def shows(card: Text[PostcardFields], _: object) -> tuple[str, ...]:
    """The exercise that a postcard tells of."""
    return (card.front.about,)


def postcard(card: Text[PostcardFields], shown: Shown) -> Page:
    """A postcard, with links to the exercise that it tells of."""
    items = [
        {
            "title": e.front.title,
            "link": link(card.page, exercise_path(slug)),
            "text": e.front.summary,
        }
        for slug, e in shown.exercises.items()
    ]
    stamps = f"{card.front.stamps} stamps"
    return Page(
        path=card.page,
        title=card.title,
        description=card.front.summary,
        content=render("page_head.html", title=card.title, intro=[card.front.summary, stamps])
        + whole_body(card)
        + render("index_list.html", items=items, kind=POSTCARD.folder),
        headings=headings_of(card.source.body.sections),
    )


PAGE_OF_A_POSTCARD = KindPage(postcard, shows)

# The kind itself ends here. It is put into the tables below, which takes a line each.

CARD = """---
title: Wish you were here
summary: From the breakwater
stamps: 2
about: low-tide
---
Gulls [everywhere](../exercises/low-tide.md).

## Weather
Drizzle and barnacles.
"""


@pytest.fixture
def card(project: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A postcard in a project, linked from the exercise that it tells of."""
    monkeypatch.setattr(kinds, "KINDS", (*kinds.KINDS, POSTCARD))
    monkeypatch.setitem(PAGES, POSTCARD.name, PAGE_OF_A_POSTCARD)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    change(
        exercise,
        "1. Hum it.",
        "1. Hum [it](../postcards/pier.md), or [all](../postcards/index.md).",
    )
    path = project / "handbook" / "postcards" / "pier.md"
    path.parent.mkdir()
    path.write_text(CARD, "utf-8")
    return path


def change(file: Path, old: str, new: str) -> None:
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), "utf-8")


def reported(card: Path) -> list[tuple[str, str, int, int]]:
    """Code and place of every problem."""
    problems = pipeline.check(card.parents[1])
    return [(p.code, p.place.path, p.place.line, p.place.column) for p in problems]


def test_nothing_is_wrong_with_it_where_it_lies_nor_with_links_to_and_from_it(card: Path) -> None:
    assert reported(card) == []


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "column"),
    [
        ("stamps: 2", "stamps: 12", "field-value", 4, 9),
        ("stamps: 2\n", "", "field-missing", 1, 1),
        ("stamps:", "stamp:", "field-unknown", 4, 1),
        ("---\ntitle", "title", "front-matter", 1, 1),
        ("low-tide.md", "low-tied.md", "link-broken", 7, 20),
        ("Drizzle", "<script>Drizzle", "html-unsafe", 10, 1),
        ("Drizzle", "all: 1 2 3 2 | 1 - - 0 |\n\nDrizzle", "fence", 10, 1),
    ],
)
def test_what_is_wrong_in_it_is_told_with_its_place(
    card: Path, old: str, new: str, code: str, line: int, column: int
) -> None:
    change(card, old, new)
    assert (code, "handbook/postcards/pier.md", line, column) in reported(card)


@pytest.mark.parametrize("name", ["Pier.md", "pier.markdown", "more/pier.md", "index.md"])
def test_a_name_that_can_be_no_address_is_told(card: Path, name: str) -> None:
    (card.parent / name).parent.mkdir(exist_ok=True)
    card.rename(card.parent / name)
    assert ("file-name", f"handbook/postcards/{name}", 1, 1) in reported(card)


def test_no_page_takes_the_address_of_its_list(card: Path) -> None:
    (card.parents[1] / "postcards.md").write_text("Hello.")
    assert reported(card) == [("file-name", "handbook/postcards.md", 1, 1)]


@pytest.fixture
def made(card: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], list[str]]]:
    """Builds the site; the records that were made and the pages that were rendered, not kept."""
    seen: list[str] = []
    make, save = making.make_record, kept_pages.KeptPages.save

    def make_and_note(file: Any, *more: Any) -> Any:
        seen.append(f"record {file.page}")
        return make(file, *more)

    def saving(self: Any, plan: Any, *more: Any) -> None:
        seen.append(plan.path)
        save(self, plan, *more)

    monkeypatch.setattr(making, "make_record", make_and_note)
    monkeypatch.setattr(plugin.KeptPages, "save", saving)
    project = card.parents[2]

    def run() -> list[str]:
        seen.clear()
        book = pipeline.build(card.parents[1], Cache(project / ".cache" / "handbook"))
        assert not book.broken, book.problems
        build_site(requested_site(project / "mkdocs.yml"), project / "site", book, strict=True)
        return sorted(seen)

    yield run


def test_it_has_a_page_a_place_in_the_menu_and_is_found(
    card: Path, made: Callable[[], list[str]]
) -> None:
    made()
    site = card.parents[2] / "site"
    page = (site / "postcards" / "pier" / "index.html").read_text("utf-8")
    for expected in ("<h1>Wish you were here</h1>", "2 stamps", "barnacles", ">Low tide</a>"):
        assert expected in page
    assert 'href="../../exercises/low-tide/"' in page
    home = (site / "index.html").read_text("utf-8")
    assert 'href="postcards/"' in home.partition("<main")[0]
    listed = (site / "postcards" / "index.html").read_text("utf-8").partition("<main")[2]
    assert '<a href="pier/">Wish you were here</a>' in listed and "From the breakwater" in listed
    search = json.loads((site / "assets" / "handbook" / "search.json").read_text("utf-8"))
    (found,) = [page for page in search["pages"] if page["url"] == "postcards/pier/"]
    assert ["weather"] == [p["anchor"] for p in found["parts"] if "barnacles" in p["text"]]


def test_it_is_kept_and_made_again_when_it_or_what_it_shows_is_edited(
    card: Path, made: Callable[[], list[str]]
) -> None:
    assert {"postcards/pier.md", "record postcards/pier.md", "record exercises/low-tide.md"} <= {
        *made()
    }
    assert made() == []
    change(card, "Drizzle", "Sleet")
    assert made() == ["postcards/pier.md", "record postcards/pier.md"]
    change(card, "summary: From", "summary: Far from")
    changed = ["postcards/index.md", "postcards/pier.md", "record postcards/pier.md"]
    assert made() == changed
    change(card.parents[1] / "exercises" / "low-tide.md", "title: Low tide", "title: Ebb tide")
    assert "postcards/pier.md" in made()


def test_while_it_has_a_slip_its_page_stays_as_it_was(card: Path) -> None:
    preview, root = Preview(), card.parents[1]
    cache = Cache(card.parents[2] / ".cache" / "handbook")
    preview.read(root, cache)
    change(card, "stamps: 2", "stamps: 12")
    site = preview.read(root, cache).site
    assert site
    plan, listed = (plan for plan in site.plans if plan.path.startswith(POSTCARD.folder))
    assert listed.path == "postcards/index.md" and "pier/" in listed.make().content
    assert "2 stamps" in plan.make().content
    assert "This page is as it was" in preview.banner(plan.path)
